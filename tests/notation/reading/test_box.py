"""Strangers' lead sheets are read in a child with limits; what hurts ends in a sentence."""

from __future__ import annotations

import io
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from porchswing.errors import LeadSheetError, MissingExtraError
from porchswing.notation.reading import box
from porchswing.notation.reading.box import import_in_box
from porchswing.notation.reading.importing import import_lead_sheet
from porchswing.notation.reading.sheet_guard import MAX_EVENTS

SHEET = (
    '<score-partwise><part-list><score-part id="P1"><part-name>x</part-name></score-part>'
    '</part-list><part id="P1">{}</part></score-partwise>'
)
START = (
    "<attributes><divisions>{}</divisions>"
    "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
)
NOTE = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>{}</duration></note>"
CHORD = "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"


def bars(*inside: str, divisions: int = 1) -> bytes:
    rows = [f"<measure>{text}</measure>" for text in (START.format(divisions), *inside)]
    return SHEET.format("".join(rows)).encode()


def packed(method: int, data: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as archive:
        archive.writestr("score.xml", data)
    return buffer.getvalue()


HURTFUL = {
    "duration.xml": (bars(NOTE.format(100_000_000)), "a note longer than 100 quarters"),
    "backup.xml": (
        bars("<backup><duration>1e9</duration></backup>"),
        "a note longer than 100 quarters",
    ),
    "divided.xml": (bars(NOTE.format(1001), divisions=10), "a note longer than 100 quarters"),
    "bars.xml": (bars(*[NOTE.format(4)] * 15_000), "more than 2,500 measures"),
    "notes.xml": (bars(NOTE.format(4) * (MAX_EVENTS + 1)), "more than 20,000 notes and chords"),
    "lzma.mxl": (packed(zipfile.ZIP_LZMA, bars()), "is not packed by DEFLATE"),
    "bomb.mxl": (packed(zipfile.ZIP_DEFLATED, bytes(50_000_000)), "unpacks to more than"),
}


@pytest.mark.parametrize("name", HURTFUL)
def test_what_hurts_is_refused_before_the_library_sees_it(tmp_path: Path, name: str) -> None:
    data, message = HURTFUL[name]
    (tmp_path / name).write_bytes(data)
    start = time.process_time()
    with pytest.raises(LeadSheetError, match=message):
        import_lead_sheet(tmp_path / name)
    assert time.process_time() - start < 1


def test_lengths_in_bounds_are_read(tmp_path: Path, need_module) -> None:  # type: ignore[no-untyped-def]
    need_module("music21")
    path = tmp_path / "a.xml"
    path.write_bytes(bars(CHORD + NOTE.format(40), divisions=10))
    found = import_in_box(path)
    assert found == import_lead_sheet(path)
    assert [str(slot.chord) for bar in found.chart.sections[0].plain for slot in bar.slots][
        -1
    ] == "C"


def test_a_refusal_comes_back_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "a.xml").write_bytes(HURTFUL["duration.xml"][0])
    with pytest.raises(LeadSheetError, match=r"a\.xml has a note longer than 100 quarters"):
        import_in_box(tmp_path / "a.xml")


def stand_in(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, code: str) -> None:
    """Let the child run other code, under our limits."""
    (tmp_path / "stand_in.py").write_text(
        f"from porchswing.notation.reading.box import _limit\n_limit()\n{code}\n"
    )
    monkeypatch.setattr(box, "_MODULE", "stand_in")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no memory limits")
def test_memory_is_limited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, tmp_path, "held = [bytearray(100_000_000) for _ in range(40)]")
    with pytest.raises(LeadSheetError, match=r"within 1000 MB of memory and 20 s"):
        import_in_box(tmp_path / "a.xml")


def test_time_is_limited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, tmp_path, "import time; time.sleep(60)")
    monkeypatch.setattr(box, "MAX_SECONDS", 1)
    with pytest.raises(LeadSheetError, match=r"could not be read within 1 s"):
        import_in_box(tmp_path / "a.xml")


def test_no_module_beside_the_sheet_is_run(tmp_path: Path) -> None:
    (tmp_path / "json.py").write_text("raise SystemExit('run!')")
    (tmp_path / "music21.py").write_text("raise SystemExit('run!')")
    (tmp_path / "a.xml").write_bytes(HURTFUL["duration.xml"][0])
    done = subprocess.run(
        [sys.executable, "-P", "-m", "porchswing", "import", "a.xml", "-o", "a.changes"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert "a note longer than 100 quarters" in done.stderr


def test_a_missing_extra_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, tmp_path, 'print(\'{"missing": "it needs an extra"}\')')
    with pytest.raises(MissingExtraError, match="it needs an extra"):
        import_in_box(tmp_path / "a.xml")
