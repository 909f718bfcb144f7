"""A bench that runs in a process of its own, as a user starts it, and a line to talk to it."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any

from websockets.sync.client import ClientConnection, connect


class Running:
    """A running bench: its address, port and token."""

    def __init__(self, folder: Path, chart: str | None = None, **environment: str) -> None:
        command = [sys.executable, "-m", "porchswing", "bench", *([chart] if chart else [])]
        self.process = subprocess.Popen(
            [*command, "--no-open"],
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, **environment},
        )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:(\d+)/([\w-]+)/", line)
        assert found, line + self.process.stdout.read()
        self.address, self.port, self.token = found[0], int(found[1]), found[2]

    def talk(self, **headers: str) -> Talk:
        return Talk(self, **headers)

    def end(self, how: int = signal.SIGINT) -> int:
        self.process.send_signal(how)
        return self.process.wait(20)

    def __enter__(self) -> Running:
        return self

    def __exit__(self, *_: type[BaseException] | TracebackType | BaseException | None) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait(20)
        if self.process.stdout is not None:
            self.process.stdout.close()


class Talk:
    """One socket to a bench: questions and their answers; events are kept."""

    def __init__(self, running: Running, **headers: str) -> None:
        origin = headers.pop("origin", f"http://127.0.0.1:{running.port}")
        address = headers.pop("address", f"ws://127.0.0.1:{running.port}/{running.token}/live")
        self._open = ExitStack()
        self.socket: ClientConnection = self._open.enter_context(
            connect(address, origin=origin or None, max_size=2**26, additional_headers=headers)
        )
        self.events: list[dict[str, Any]] = []
        self._number = 0

    def send(self, do: str, **given: Any) -> int:
        self._number += 1
        self.socket.send(json.dumps({"do": do, "id": self._number, **given}))
        return self._number

    def ask(self, do: str, timeout_s: float = 60, **given: Any) -> dict[str, Any]:
        number = self.send(do, **given)
        while True:
            answer = json.loads(self.socket.recv(timeout_s))
            if answer.get("id") == number:
                return answer
            self.events.append(answer)

    def event(self, name: str, timeout_s: float = 20) -> dict[str, Any]:
        while True:
            for event in self.events:
                if event.get("event") == name:
                    self.events.remove(event)
                    return event
            self.events.append(json.loads(self.socket.recv(timeout_s)))

    def __enter__(self) -> Talk:
        return self

    def __exit__(self, *_: object) -> None:
        self._open.close()
