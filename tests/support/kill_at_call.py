"""Run a command in a child again and again, killed at its first, second, … touch of a folder.

    python kill_at_call.py FOLDER render|build

The child dies by SIGKILL as it is about to open, write, sync, link, rename, make or remove
something below its output folder. After each death the survivors are compared with an undisturbed
run, and the next run must finish. Prints how many deaths there were.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from concurrent.futures import Executor, Future
from contextlib import redirect_stderr, redirect_stdout
from importlib import import_module
from pathlib import Path
from typing import Any

from support.faults import visible

LOADED = ("porchswing.take", "porchswing.audio.master.audio_files", "porchswing.course.run",
          "porchswing.course.course_file", "porchswing.cli.tune.render", "filelock", "soundfile",
          "porchswing.grips.search.voice", "porchswing.chart.language.reader")  # fmt: skip
CALLS = ("write", "fsync", "link", "rename", "replace", "unlink", "mkdir", "rmdir", "open")


class Here(Executor):
    """Runs each job at once, in this very thread: the order of calls is always the same."""

    def submit(self, function: Callable[..., Any], /, *words: Any, **named: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(function(*words, **named))
        return future


def build(out: Path) -> None:
    from porchswing.course.course_file import read_course
    from porchswing.course.run import build_course, find_todo
    from porchswing.outputs.folder import OutputFolder
    from porchswing.outputs.jobs.executors import Site

    course = read_course(Path("c.toml"))
    with OutputFolder(out).locked() as folder:
        todo = find_todo(course, folder)
        summary = build_course(course, todo, folder, Site(Here, 1), prune=True)
    assert summary.failed == (), summary.failed


def render(out: Path) -> None:
    from porchswing.cli.main import group

    words = ["render", "cut.changes", "--formats", "wav,mid", "--rate", "8000", "--count-in", "0"]
    status = group([*words, "-o", str(out)], standalone_mode=False)
    assert not status, status


def die_at(number: int, out: Path) -> None:
    """Make this process die at its so-manieth call that changes something below ``out``."""
    left = [number]

    def count(path: object) -> None:
        if isinstance(path, str | os.PathLike) and Path(path).is_relative_to(out):
            left[0] -= 1
            if left[0] == 0:
                os.kill(os.getpid(), signal.SIGKILL)

    def watched(name: str) -> Callable[..., Any]:
        real = getattr(os, name)

        def call(first: Any, *words: Any, **named: Any) -> Any:
            whom = first
            if isinstance(first, int):
                whom = str(Path(f"/proc/self/fd/{first}").readlink())
            count(whom)
            return real(first, *words, **named)

        return call

    for name in CALLS:
        setattr(os, name, watched(name))
    sys.addaudithook(lambda event, words: count(words[0]) if event == "open" else None)


def child(work: Callable[[Path], None], out: Path, kill_at: int = 0) -> int:
    """Run the work in a fork; return the signal or status that ended it, 0 for success."""
    pid = os.fork()
    if pid:
        return os.waitpid(pid, 0)[1]
    sys.stdout = sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115  # the child's, to its end
    if kill_at:
        die_at(kill_at, out)
    try:
        work(out)
    except BaseException as error:
        Path(f"{out}.error").write_text(repr(error))
        os._exit(1)
    os._exit(0)


def main() -> None:
    for module in LOADED:  # once here, not in every child
        import_module(module)
    folder, which = Path(sys.argv[1]), sys.argv[2]
    os.chdir(folder)
    work = {"render": render, "build": build}[which]
    with Path(os.devnull).open("w") as nowhere, redirect_stdout(nowhere), redirect_stderr(nowhere):
        work(folder / "warm")  # so that every child inherits the notes, the kit and the room
    clean = folder / "clean"
    assert child(work, clean) == 0, Path(f"{clean}.error").read_text()
    want = visible(clean)
    deaths = 0
    while True:
        out = folder / f"out{deaths}"
        if (status := child(work, out, deaths + 1)) == 0:
            break
        where = f"kill {deaths + 1} of {which}"
        assert status == signal.SIGKILL, f"{where}: ended by {status}"
        deaths += 1
        for name, sha256 in visible(out).items():
            assert sha256 == want[name], f"{name} is torn after {where}"
        assert child(work, out) == 0, f"{where}: " + Path(f"{out}.error").read_text()
        assert visible(out) == want, f"not finished after {where}"
    sys.stdout.write(f"{deaths}\n")


if __name__ == "__main__":
    main()
