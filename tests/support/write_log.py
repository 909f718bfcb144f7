"""A log of what a command wrote, by system call, and what a power cut could leave of it.

:func:`record` runs a command under ``strace`` and keeps every call that changes something below a
folder. :class:`Disk` replays a prefix of it and gives the trees that a power cut may leave there:
a file system keeps what was synced and any part of the rest, so each :data:`LOSSES` is tried.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

CALLS = (
    "openat,write,pwrite64,fsync,fdatasync,rename,renameat,renameat2,link,linkat,unlink,unlinkat,"
    "mkdir,mkdirat,rmdir,ftruncate,lseek"
)

LOSSES = ("killed", "names only", "half the data", "zeros", "nothing unsynced")
"""What becomes of the unsynced: kept, as after a kill; names without data; data cut in half; data
of the right length but zero; not even the names that were not synced with their folder."""

_LINE = re.compile(r"^(\d+)\s+(\w+)\((.*)\)\s+= (-?\d+)", re.DOTALL)
_UNFINISHED = re.compile(r"^(\d+)\s+(.*) <unfinished \.\.\.>$")
_RESUMED = re.compile(r"^(\d+)\s+<\.\.\. \w+ resumed>(.*)$")
_HEX = re.compile(r'"((?:\\x[0-9a-f]{2})*)"|<((?:\\x[0-9a-f]{2})*)>')


@dataclass(frozen=True)
class Call:
    """One call: its thread, name, texts (paths, data) in order, other words, and result."""

    thread: int
    name: str
    texts: tuple[bytes, ...]
    words: str
    result: int


def record(command: Sequence[str], folder: Path, log: Path) -> list[Call]:
    """Run a command and return its calls below ``folder``, in order."""
    strace = ["strace", "-f", "-y", "-xx", "-s", "99999999", "-o", str(log), "-e", f"trace={CALLS}"]
    done = subprocess.run([*strace, *command], capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    below = str(folder.resolve()).encode()
    calls = [call for line in _whole_lines(log) if (call := _call(line)) is not None]
    named = [c for c in calls if c.texts and b"/#" not in c.texts[0]]  # O_TMPFILE has no name
    return [c for c in named if c.result >= 0 and c.texts[0].startswith(below)]


def _whole_lines(log: Path) -> Iterator[str]:
    """Yield the log's lines in the order the calls ended, each call in one piece."""
    begun: dict[str, str] = {}
    with log.open() as lines:
        for line in lines:
            line = line.rstrip("\n")
            if match := _UNFINISHED.match(line):
                begun[match[1]] = match[2]
            elif match := _RESUMED.match(line):
                yield f"{match[1]} {begun.pop(match[1])}{match[2]}"
            else:
                yield line


def _call(line: str) -> Call | None:
    match = _LINE.match(line)
    if match is None:
        return None
    texts: list[bytes] = []
    here = ""
    for found in _HEX.finditer(match[3]):
        text = bytes.fromhex((found[1] or found[2] or "").replace("\\x", ""))
        if found[2] is not None and (match[2].endswith("at") or match[2] == "renameat2"):
            here = text.decode()  # the folder that the next name is relative to
            continue
        if found[1] is not None and here and match[2] != "write" and not text.startswith(b"/"):
            text = f"{here}/{text.decode()}".encode()
        texts.append(text)
    return Call(int(match[1]), match[2], tuple(texts), _HEX.sub("", match[3]), int(match[4]))


@dataclass
class File:
    """A file's content as written and as synced."""

    data: bytearray = field(default_factory=bytearray)
    synced: bytes = b""


@dataclass
class Disk:
    """A simulated file system below one folder; paths are bytes as in the log."""

    top: bytes
    names: dict[bytes, File | None] = field(default_factory=dict)  # None: a folder
    synced_names: dict[bytes, File | None] = field(default_factory=dict)
    offsets: dict[tuple[int, bytes], int] = field(default_factory=dict)

    def apply(self, call: Call) -> None:
        """Do what one call did."""
        path = call.texts[0]
        match call.name:
            case "openat":
                self._open(path, call)
            case "write" | "pwrite64":
                self._write(path, call)
            case "lseek":
                self.offsets[call.thread, path] = call.result
            case "ftruncate":
                size = int(call.words.rsplit(",", 1)[1])
                file = self._file(path)
                file.data[:] = file.data[:size].ljust(size, b"\0")
            case "fsync" | "fdatasync":
                self._sync(path)
            case "mkdir" | "mkdirat":
                self.names[path] = None
            case "rename" | "renameat" | "renameat2":
                self.names[call.texts[1]] = self.names.pop(path)
            case "link" | "linkat":
                self.names[call.texts[1]] = self.names[path]
            case "unlink" | "unlinkat" | "rmdir":
                self.names.pop(path)
            case name:
                raise AssertionError(f"the log has an unknown call {name}")

    def tree(self, loss: str) -> dict[bytes, bytes | None]:
        """Return what is there after a power cut: content by path, None for a folder."""
        names = self.synced_names if loss == "nothing unsynced" else self.names
        return {
            path: None if file is None else _left(file, loss)
            for path, file in names.items()
            if all(up in names for up in _above(path, self.top))
        }

    def _file(self, path: bytes) -> File:
        file = self.names[path]
        assert file is not None
        return file

    def _open(self, path: bytes, call: Call) -> None:
        words = call.words
        if "O_DIRECTORY" in words or "O_TMPFILE" in words:
            return
        if "O_CREAT" in words and path not in self.names:
            self.names[path] = File()
        if isinstance(file := self.names.get(path), File):
            if "O_TRUNC" in words:
                file.data.clear()
            start = len(file.data) if "O_APPEND" in words else 0
            self.offsets[call.thread, path] = start

    def _write(self, path: bytes, call: Call) -> None:
        file, data = self._file(path), call.texts[1][: call.result]
        if call.name == "pwrite64":
            at = int(call.words.rsplit(",", 1)[1])
        else:
            at = self.offsets.get((call.thread, path), 0)
            self.offsets[call.thread, path] = at + len(data)
        file.data[:] = file.data.ljust(at, b"\0")
        file.data[at : at + len(data)] = data

    def _sync(self, path: bytes) -> None:
        if path in self.names and (file := self.names[path]) is not None:
            file.synced = bytes(file.data)
            return
        for name in [*self.synced_names]:
            if name.rpartition(b"/")[0] == path and name not in self.names:
                del self.synced_names[name]
        for name, file in self.names.items():
            if name.rpartition(b"/")[0] == path:
                self.synced_names[name] = file


def _above(path: bytes, top: bytes) -> Iterator[bytes]:
    while (path := path.rpartition(b"/")[0]) and path != top and path.startswith(top):
        yield path


def _left(file: File, loss: str) -> bytes:
    written, synced = bytes(file.data), file.synced
    if loss == "killed" or written == synced:
        return written
    if loss == "half the data":
        return written[: max(len(synced), len(written) // 2)]
    if loss == "zeros":
        return synced + bytes(max(0, len(written) - len(synced)))
    return synced


def lay_out(tree: dict[bytes, bytes | None], top: bytes, target: Path) -> None:
    """Make a tree on the real disk."""
    target.mkdir(parents=True)
    for path, data in sorted(tree.items()):
        if path == top or not path.startswith(top + b"/"):
            continue
        there = target / path[len(top) + 1 :].decode()
        if data is None:
            there.mkdir()
        else:
            there.write_bytes(data)
