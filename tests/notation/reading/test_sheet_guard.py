"""Lead sheets by strangers: bombs, nests and noise get our error, quickly and in bounds."""

from __future__ import annotations

import contextlib
import io
import time
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from porchswing.errors import LeadSheetError
from porchswing.notation.reading.abc import MAX_TUNE_CHARACTERS
from porchswing.notation.reading.importing import import_lead_sheet
from porchswing.notation.reading.sheet_guard import (
    MAX_ABC_BYTES,
    MAX_DEPTH,
    MAX_ELEMENTS,
    MAX_FILE_BYTES,
    look_through,
    unpacked,
)

LAUGHS = b"""<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]><score-partwise>&c;</score-partwise>"""
OUTSIDE = b"""<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]>
<score-partwise>&e;</score-partwise>"""
PARAMETER = b"""<?xml version="1.0"?><!DOCTYPE x [<!ENTITY % p SYSTEM "http://localhost/x"> %p;]>
<score-partwise/>"""


def archive(files: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(name, data)
    return buffer.getvalue()


def container(path: str) -> bytes:
    return (
        f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'
    ).encode()


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (LAUGHS, "entities"),
        (OUTSIDE, "entities"),
        (PARAMETER, "entities"),
        (b"<a>" * (MAX_DEPTH + 1) + b"</a>" * (MAX_DEPTH + 1), "nests deeper"),
        (b"<a>" * 1_000_000, "nests deeper"),
        (b"<a>" + b"<b/>" * (MAX_ELEMENTS + 1) + b"</a>", "elements"),
        (b"", "no readable XML"),
        (b"not xml", "no readable XML"),
        (b"<score-partwise>", "no readable XML"),
        (b'<?xml version="1.0" encoding="no-such"?><a/>', "no readable XML"),
        (b"<html><body/></html>", "no MusicXML score"),
        (b"\xff\xfe<\x00", "no readable XML"),
        (b"PK\x03\x04 not really", "no compressed MusicXML"),
        (archive({}), "holds no score"),
        (archive({"readme.txt": b"hello"}), "holds no score"),
        (archive({"META-INF/container.xml": LAUGHS, "s.xml": b"<a/>"}), "entities"),
        (archive({"META-INF/container.xml": container("../../x"), "s.xml": LAUGHS}), "entities"),
        (archive({f"{i}.txt": b"" for i in range(1001)}), "more than 1,000 files"),
        (archive({"s.xml": b"<a>" + b" " * (MAX_FILE_BYTES + 1) + b"</a>"}), "unpacks to more"),
    ],
    ids=range(19),
)
def test_hostile_files_are_refused(tmp_path: Path, data: bytes, message: str) -> None:
    path = tmp_path / "sheet.mxl"
    path.write_bytes(data)
    started = time.process_time()
    with pytest.raises(LeadSheetError, match=message):
        import_lead_sheet(path)
    assert time.process_time() - started < 10


def test_a_zip_bomb_stays_small_in_memory(tmp_path: Path) -> None:
    bomb = archive({"s.xml": b"\0" * 200_000_000})
    assert len(bomb) < 1_000_000
    tracemalloc.start()
    try:
        with pytest.raises(LeadSheetError, match="unpacks to more"):
            unpacked(bomb, "bomb.mxl")
        assert tracemalloc.get_traced_memory()[1] < 5 * MAX_FILE_BYTES
    finally:
        tracemalloc.stop()


def test_files_that_are_too_large_or_not_there(tmp_path: Path) -> None:
    big = tmp_path / "big.musicxml"
    with big.open("wb") as file:
        file.truncate(MAX_FILE_BYTES + 1)
    with pytest.raises(LeadSheetError, match="more than"):
        import_lead_sheet(big)
    tune = tmp_path / "long.abc"
    tune.write_bytes(b"X:1\nK:C\n" + b"c" * MAX_ABC_BYTES)
    with pytest.raises(LeadSheetError, match="bytes of ABC"):
        import_lead_sheet(tune)
    for path in (tmp_path / "none.xml", tmp_path / "none.txt", Path("a\x00.xml")):
        with pytest.raises(LeadSheetError, match=r"cannot read|a lead sheet ends in .* got"):
            import_lead_sheet(path)
    (tmp_path / "folder.xml").mkdir()
    with pytest.raises(LeadSheetError, match="cannot read"):
        import_lead_sheet(tmp_path / "folder.xml")


def test_an_outside_dtd_is_not_opened() -> None:
    """The usual DOCTYPE of MusicXML names an address; nobody goes there."""
    document = (
        b'<?xml version="1.0"?><!DOCTYPE score-partwise PUBLIC "-//x" "http://127.0.0.1:9/x.dtd">'
        b"<score-partwise/>"
    )
    assert look_through(document, "x").root == "score-partwise"


@settings(
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
def test_noise_is_refused(tmp_path: Path, data: bytes) -> None:
    for name in ("noise.musicxml", "noise.mxl"):
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(LeadSheetError):
            import_lead_sheet(path)


@pytest.mark.parametrize(
    "body",
    ["(c" * 2400, "{c" * 2400, "c-" * 2400, "c>" * 2400, "(3" * 2400, ":|" * 2400, "!<(!c" * 900,
     "[" * 4800, "^" * 4800, '"' * 4800, "c" * 4800, "c9999999", "c/9999999", "[K:C]" * 900,
     "V:1\nc|\n" * 600],
    ids=range(15),
)  # fmt: skip
def test_hostile_tunes_end_soon(need_module, tmp_path: Path, capsys, body: str) -> None:
    """Unclosed slurs alone kept music21 busy for minutes; nothing may, nor chatter about it."""
    need_module("music21")
    path = tmp_path / "tune.abc"
    path.write_text(f"X:1\nM:4/4\nK:C\n{body}\n")
    started = time.process_time()
    with contextlib.suppress(LeadSheetError):
        assert import_lead_sheet(path).chart.sections
    assert time.process_time() - started < 20
    assert capsys.readouterr() == ("", "")


def test_a_tune_that_is_too_long(need_module, tmp_path: Path) -> None:
    path = tmp_path / "tune.abc"
    path.write_text("X:1\nK:C\n" + "c" * MAX_TUNE_CHARACTERS + "\n")
    with pytest.raises(LeadSheetError, match="at most 5,000 characters"):
        import_lead_sheet(path)
