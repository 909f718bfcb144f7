"""Files appear whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from porchswing.errors import OutputError
from porchswing.outputs.files import shipped, whole_file, write_whole


def test_a_file_appears_whole_with_the_usual_rights(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "a.mid"
    write_whole(path, b"music")
    assert path.read_bytes() == b"music"
    assert [p.name for p in path.parent.iterdir()] == ["a.mid"]
    umask = os.umask(0)
    os.umask(umask)
    assert path.stat().st_mode & 0o777 == 0o666 & ~umask


@pytest.mark.parametrize("error", [KeyboardInterrupt, ValueError, SystemExit])
def test_whatever_interrupts_leaves_the_old_file_and_no_part(
    tmp_path: Path, error: type[BaseException]
) -> None:
    path = tmp_path / "a.mid"
    path.write_bytes(b"old")

    def interrupted() -> None:
        with whole_file(path) as part:
            part.write_bytes(b"half")
            raise error

    with pytest.raises(error):
        interrupted()
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.mid"]


def test_nobody_sees_a_half_written_file(tmp_path: Path) -> None:
    path = tmp_path / "a.mid"
    with whole_file(path) as part:
        part.write_bytes(b"half")
        assert not path.exists()
        assert part.suffix == ".mid"
    assert path.exists()


def test_where_nothing_can_be_written_the_error_names_the_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(OutputError, match=r"cannot write .*a\.mid: its folder is a file"):
        write_whole(tmp_path / "file" / "a.mid", b"music")


@pytest.mark.parametrize("folder", ["patterns", "demos"])
def test_shipped_data_is_found(folder: str, root: Path) -> None:
    names = {item.name for item in shipped(folder).iterdir()}
    assert names == {path.name for path in (root / folder).iterdir()}


def test_lost_data_is_told() -> None:
    with pytest.raises(OutputError, match="has lost its nonsense folder"):
        shipped("nonsense")
