"""What pruning takes away: unchanged files of ours that a lesson or a build made."""

from __future__ import annotations

import os
from pathlib import Path

from porchswing.outputs.folder import OutputFolder
from support.folder_files import make


def test_prune_takes_only_unchanged_files_of_ours(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path)
    for name in ("keep.mid", "gone/a.mid", "edited.mid"):
        make(folder, name)
    (tmp_path / "edited.mid").write_bytes(b"mine now")
    (tmp_path / "gone" / "stranger.txt").write_text("hands off")
    assert folder.prune(["keep.mid"]) == (["gone/a.mid"], ["edited.mid"])
    left = sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*.*") if p.is_file())
    assert [name for name in left if not name.startswith(".")] == [
        "edited.mid",
        "gone/stranger.txt",
        "keep.mid",
    ]


def test_prune_leaves_what_a_single_command_wrote(tmp_path: Path) -> None:
    """Somebody asked for it, in this folder, by name; no lesson or build did."""
    folder = OutputFolder(tmp_path)
    make(folder, "of a build.mid")
    make(folder, "of a render.mid", digest="")
    assert OutputFolder(tmp_path).prune([]) == (["of a build.mid"], [])
    assert (tmp_path / "of a render.mid").read_bytes() == b"music"
    assert OutputFolder(tmp_path).is_ours(tmp_path / "of a render.mid")


def test_prune_removes_folders_it_empties_up_to_its_own(tmp_path: Path) -> None:
    top = tmp_path / "out"
    folder = OutputFolder(top)
    make(folder, "gone/deep/a.mid")
    make(folder, "kept/deep/a.mid")
    (top / "kept" / "mine.txt").write_text("hands off")
    folder.prune([])
    assert not (top / "gone").exists()
    assert sorted(path.name for path in (top / "kept").iterdir()) == ["mine.txt"]
    assert top.is_dir()


def test_prune_reads_a_file_whatever_its_times_say(tmp_path: Path) -> None:
    path = make(OutputFolder(tmp_path), "a.mid")
    stat = path.stat()
    path.write_bytes(b"mUsic")  # somebody's work, under our size and time
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert OutputFolder(tmp_path).prune([]) == ([], ["a.mid"])
    assert path.read_bytes() == b"mUsic"


def test_prune_takes_only_from_among_what_is_named(tmp_path: Path) -> None:
    folder = OutputFolder(tmp_path)
    for name in ("pictures/1.png", "pictures/2.png", "script.txt"):
        make(folder, name, digest="")
    found = folder.prune(["pictures/2.png"], among=["pictures/1.png", "pictures/2.png"])
    assert found == (["pictures/1.png"], [])
    assert (tmp_path / "script.txt").is_file()
    assert (tmp_path / "pictures" / "2.png").is_file()
