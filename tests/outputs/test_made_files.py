"""Which files are ours: torn ones to the very nanosecond and byte, and what spares reading."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.made_files import MadeFiles


@pytest.fixture
def made(tmp_path: Path) -> Path:
    path = tmp_path / "a.wav"
    with OutputFolder(tmp_path).making(path, "d") as part:
        part.write_bytes(b"music")
    return path


@pytest.mark.parametrize(
    ("content", "later_ns", "is_ours"),
    [
        (b"mus", -1, True),
        (b"mus", 0, True),
        (b"mus", 1, False),
        (b"MUSIC", -1, True),
        (b"music!", -1, False),
        (b"", 10**9, True),  # nobody's work
        (b"music", 10**9, True),
    ],
)
def test_what_a_power_cut_left_is_no_newer_and_no_longer(
    made: Path, content: bytes, later_ns: int, is_ours: bool
) -> None:
    stat = made.stat()
    made.write_bytes(content)
    os.utime(made, ns=(stat.st_atime_ns, stat.st_mtime_ns + later_ns))
    assert made.stat().st_ino == stat.st_ino
    assert MadeFiles(made.parent).is_ours("a.wav") is is_ours


def test_a_file_known_from_a_manifest_alone_is_never_torn(made: Path) -> None:
    OutputFolder(made.parent).write_manifest({})
    (made.parent / ".porchswing" / "made.jsonl").unlink()
    assert MadeFiles(made.parent).is_ours("a.wav")
    made.write_bytes(b"mus")
    os.utime(made, ns=(1, 1))
    assert not MadeFiles(made.parent).is_ours("a.wav")


def test_what_was_read_once_is_remembered_by_its_new_time(made: Path) -> None:
    os.utime(made, ns=(5, 5))
    files = MadeFiles(made.parent)
    assert files.is_current("a.wav", "d")
    assert files.latest["a.wav"].mtime_ns == 5
    assert MadeFiles(made.parent).latest["a.wav"].mtime_ns == 5


def test_only_files_of_their_size_are_in_place(made: Path) -> None:
    files = MadeFiles(made.parent)
    assert list(files.in_place()) == ["a.wav"]
    made.write_bytes(b"musi")
    assert files.in_place() == {}
    made.unlink()
    assert files.in_place() == {}
    assert not files.is_ours("a.wav")
    assert not files.is_ours("b.wav")


def test_a_file_of_any_size_is_in_place(made: Path) -> None:
    for size in (0, 257, 100_000):
        with OutputFolder(made.parent).making(made, "d") as part:
            part.write_bytes(bytes(size))
        assert MadeFiles(made.parent).in_place()["a.wav"].size_bytes == size


def test_a_journal_is_shortened_to_a_line_a_file(made: Path) -> None:
    folder = OutputFolder(made.parent)
    with folder.making(made, "e") as part:
        part.write_bytes(b"other")
    journal = made.parent / ".porchswing" / "made.jsonl"
    assert len(journal.read_text().split()) == 2
    folder.write_manifest({})
    assert len(journal.read_text().split()) == 1
    assert OutputFolder(made.parent).is_current(made, "e")


def test_a_file_of_any_size_is_current_at_another_time(tmp_path: Path) -> None:
    path = tmp_path / "long.wav"
    with OutputFolder(tmp_path).making(path, "d") as part:
        part.write_bytes(b"music" * 1000)
    os.utime(path, ns=(5, 5))
    assert MadeFiles(tmp_path).is_current("long.wav", "d")
