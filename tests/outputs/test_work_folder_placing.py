"""A finished file moves to its name in one step, on file systems of every kind."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from porchswing.outputs.work_folder import place_file


@pytest.fixture
def part(tmp_path: Path) -> Path:
    path = tmp_path / "part"
    path.write_bytes(b"whole")
    return path


def refuse(code: int):  # type: ignore[no-untyped-def]
    def call(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    return call


def test_a_new_name_is_taken_and_a_taken_one_refused(part: Path, tmp_path: Path) -> None:
    place_file(part, tmp_path / "a", replace=False)
    assert (tmp_path / "a").read_bytes() == b"whole"
    assert not part.exists()
    part.write_bytes(b"other")
    with pytest.raises(FileExistsError):
        place_file(part, tmp_path / "a", replace=False)
    assert (tmp_path / "a").read_bytes() == b"whole"
    place_file(part, tmp_path / "a", replace=True)
    assert (tmp_path / "a").read_bytes() == b"other"


@pytest.mark.parametrize("code", [errno.EPERM, errno.ENOTSUP, errno.ENOSYS])
def test_where_a_file_system_has_no_links_a_taken_name_is_refused_too(
    part: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    monkeypatch.setattr(os, "link", refuse(code))
    (tmp_path / "a").write_bytes(b"somebody's")
    with pytest.raises(FileExistsError):
        place_file(part, tmp_path / "a", replace=False)
    place_file(part, tmp_path / "b", replace=False)
    assert (tmp_path / "b").read_bytes() == b"whole"


@pytest.mark.parametrize("replace", [False, True])
def test_onto_another_file_system_it_is_copied_beside_its_name_first(
    part: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, replace: bool
) -> None:
    real_link, real_replace = os.link, Path.replace
    other = tmp_path / "mounted"
    other.mkdir()

    def link(source: Path, target: Path) -> None:
        if source == part:
            refuse(errno.EXDEV)()
        real_link(source, target)

    def move(self: Path, target: Path) -> Path:
        if self == part:
            refuse(errno.EXDEV)()
        return real_replace(self, target)

    monkeypatch.setattr(os, "link", link)
    monkeypatch.setattr(Path, "replace", move)
    monkeypatch.setattr(Path, "rename", move)
    if replace:
        (other / "a").write_bytes(b"ours, older")
    times = part.stat().st_mtime_ns
    place_file(part, other / "a", replace=replace)
    assert (other / "a").read_bytes() == b"whole"
    assert (other / "a").stat().st_mtime_ns == times  # so it is known again without reading it
    assert not part.exists()
    assert [path.name for path in other.iterdir()] == ["a"]


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EPERM])
@pytest.mark.parametrize("replace", [False, True])
def test_where_a_move_fails_nothing_is_copied(
    part: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, replace: bool
) -> None:
    for owner, name in ((os, "link"), (Path, "replace"), (Path, "rename")):
        monkeypatch.setattr(owner, name, refuse(code))
    copied: list[object] = []
    monkeypatch.setattr("shutil.copy2", lambda *paths: copied.append(paths))
    with pytest.raises(OSError, match=os.strerror(code)):
        place_file(part, tmp_path / "a", replace=replace)
    assert copied == []
    assert part.read_bytes() == b"whole"
