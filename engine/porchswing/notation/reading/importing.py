"""Reading a lead sheet in MusicXML or ABC as a chart, through music21.

Chord symbols become the plain lane, the top line the melody lane, rehearsal marks sections. Of
everything else a remark is left, so that nothing is dropped in silence. A score that this
package exported gives back both its lanes.
"""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Any

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.limits import MAX_SECTIONS, MAX_WRITTEN_BARS
from porchswing.chart.model import LANES, Chart, Settings
from porchswing.errors import ChartError, LeadSheetError, missing_extra
from porchswing.harmony.passage.keyfinder import key_heard
from porchswing.notation.reading.abc import PreparedTune, prepare_abc
from porchswing.notation.reading.lyrics import CLOSED, EXTENDED, verses_of
from porchswing.notation.reading.measures import ChordReader, PartReader
from porchswing.notation.reading.score_facts import (
    Measure,
    Remarks,
    as_said,
    clean,
    key_of,
    meter_of,
    read_chord,
    swing_of,
    tempo_of,
    title_of,
)
from porchswing.notation.reading.sections import (
    chart_bars,
    chart_sections,
    filled_bar,
    melody_bars,
)
from porchswing.notation.reading.sheet_guard import (
    MAX_ABC_BYTES,
    SCORES,
    Survey,
    look_through,
    read_bounded,
    unpacked,
)

_STOP = r"<extend\b[^>]*\btype=[\"']stop[\"']"
_EXTENDERS = (
    (re.compile(rf"(</text>)(?=\s*{_STOP})"), rf"{CLOSED}\1"),
    (re.compile(rf"(<lyric\b[^>]*>\s*)(?={_STOP})"), rf"\1<text>{CLOSED}</text>"),
    (re.compile(r"(</text>)(?=\s*<extend)"), rf"{EXTENDED}\1"),
)
"""What music21 does not read of extenders, and what carries it instead, one after another."""

_ENCODING = re.compile(rb"""encoding=["']([A-Za-z0-9._-]{1,20})["']""")


@dataclass(frozen=True, slots=True)
class Imported:
    """A chart made of a lead sheet, and what could not be carried over, in words."""

    chart: Chart
    left_out: tuple[str, ...]


def import_lead_sheet(path: str | Path) -> Imported:
    """Read a lead sheet (``.musicxml``, ``.xml``, ``.mxl`` or ``.abc``) as a chart.

    Raises
    ------
    MissingExtraError
        Where the extra ``notation`` is not installed.
    LeadSheetError
        Where the file cannot be read, or is refused as unsafe or too large.
    """
    path = Path(path)
    data = read_bounded(path)
    remarks = Remarks()
    if path.suffix.lower() == ".abc":
        return _from_abc(data, path, remarks)
    return _from_musicxml(data, path, remarks)


def _from_abc(data: bytes, path: Path, remarks: Remarks) -> Imported:
    if len(data) > MAX_ABC_BYTES:
        raise LeadSheetError(f"{path} has more than {MAX_ABC_BYTES:,} bytes of ABC")
    text = data.removeprefix(b"\xef\xbb\xbf").decode("utf-8", errors="replace")
    if not re.search(r"^K:", text, re.MULTILINE):
        raise LeadSheetError(f"{path} is no ABC tune: it has no line that gives its key, K:")
    try:
        tune = prepare_abc(text)
    except LeadSheetError as error:
        raise LeadSheetError(f"{path}: {error}") from None
    for line in tune.left_out:
        remarks.add(line)
    score = _parsed(tune.text, "abc", path)
    _underlay(score, tune, remarks)
    return _chart(score, path, remarks, lambda it: tune.chords.get(str(it.figure)), Survey())


def _underlay(score: Any, tune: PreparedTune, remarks: Remarks) -> None:
    """Give the notes of an ABC tune its words, which music21 does not read.

    Each note has its own sign there, so that one without any is a gap.
    """
    if not tune.words:
        return
    from music21.note import Lyric

    notes = [
        note
        for note in (list(score.parts) or [score])[0].recurse().notes
        if "Harmony" not in note.classes and not note.duration.isGrace
    ]
    if len(notes) != tune.notes:
        remarks.add("the words, for their notes could not be counted")
        return
    for word in tune.words:
        lyric = Lyric(word.text + CLOSED, number=word.verse, applyRaw=True)
        lyric.syllabic = "begin" if word.is_joined else "single"
        notes[word.note].lyrics.append(lyric)


def _from_musicxml(data: bytes, path: Path, remarks: Remarks) -> Imported:
    if data[:2] == b"PK":
        data = unpacked(data, str(path))
    survey = look_through(data, str(path))
    if survey.root not in SCORES:
        raise LeadSheetError(f"{path} is no MusicXML score: its root is <{survey.root[:40]}>")
    text = _decoded(data, path)
    for extender, carried in _EXTENDERS:
        text = extender.sub(carried, text)
    score = _parsed(text, "musicxml", path)
    return _chart(score, path, remarks, lambda symbol: read_chord(symbol, remarks), survey)


def _decoded(data: bytes, path: Path) -> str:
    """Return an XML document as text, by its declaration or its byte order mark."""
    declared = _ENCODING.search(data[:200])
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    name = "utf-16" if wide else declared[1].decode("ascii") if declared else "utf-8-sig"
    try:
        return data.decode("utf-8-sig" if name.lower() == "utf-8" else name)
    except (LookupError, UnicodeError) as error:
        raise LeadSheetError(f"{path} is no readable XML: {error}") from None


@contextmanager
def _quietly() -> Iterator[None]:
    """Keep music21's warnings, which go to the error stream, from the user."""
    with warnings.catch_warnings(action="ignore"), redirect_stderr(io.StringIO()):
        yield


def _parsed(text: str, form: str, path: Path) -> Any:
    """Return what music21 makes of a text, a score."""
    try:
        from music21 import converter
    except ImportError:
        raise missing_extra("reading lead sheets", "notation") from None
    try:
        with _quietly():
            score: Any = converter.parseData(text, format=form)
    except Exception as error:  # music21 raises errors of any class
        reason = str(error).splitlines()[0][:200] if str(error) else type(error).__name__
        raise LeadSheetError(f"{path} cannot be read: {reason}") from None
    return score.scores[0] if "Opus" in score.classes else score


def _chart(
    score: Any, path: Path, remarks: Remarks, chord: ChordReader, survey: Survey
) -> Imported:
    """Make a chart of a music21 score."""
    try:
        with _quietly():
            made = _made(score, path, remarks, chord, survey)
    except LeadSheetError:
        raise
    except Exception as error:  # a broken score breaks music21 anywhere
        raise LeadSheetError(f"{path} cannot be read: {type(error).__name__}: {error}") from None
    try:
        if parse_chart(write_chart(made)) != made:
            raise LeadSheetError(f"{path} cannot be said in the chart language")
    except ChartError as error:
        raise LeadSheetError(
            f"{path} cannot be said in the chart language: {error.problems[0].message}"
        ) from None
    return Imported(made, remarks.lines)


def _made(score: Any, path: Path, remarks: Remarks, chord: ChordReader, survey: Survey) -> Chart:
    lanes, tune = _chosen_parts(score, path, remarks)
    chords_part = lanes["plain"]
    meter = meter_of(chords_part, path, remarks)
    reader = PartReader(chord, remarks, is_ours=bool(survey.said))
    lanes = {name: _expanded(_in_measures(part), remarks) for name, part in lanes.items()}
    read = {name: reader.measures(part) for name, part in lanes.items()}
    plain = read["plain"]
    if not plain or len(plain) > MAX_WRITTEN_BARS:
        raise LeadSheetError(
            f"{path} has {len(plain)} measures; 1 to {MAX_WRITTEN_BARS:,} can be read"
        )
    if not any(measure.chords for measure in plain):
        remarks.add("there are no chord symbols, so every bar is N.C.")
    heard = plain if tune is chords_part or tune is None else reader.measures(_in_measures(tune))
    heard = [*heard, *(Measure(bar.beats) for bar in plain[len(heard) :])][: len(plain)]
    notes = [filled_bar(bar.notes, meter, remarks) for bar in heard]
    melody = melody_bars(notes, meter)
    verses = verses_of(notes, melody, meter, remarks)
    marks = _marks(score, len(plain))
    if sum(bool(mark) for mark in marks) > MAX_SECTIONS // 2:
        remarks.add("rehearsal marks, for there are too many")
        marks = [""] * len(marks)
    swung = read.get("swing", [])
    swing = chart_bars(swung, meter, remarks) if len(swung) == len(plain) else None
    sections, form = chart_sections(
        marks, chart_bars(plain, meter, remarks), swing, melody, verses, remarks
    )
    chart = Chart(
        title=title_of(score, path),
        key=key_of(lanes["plain"], remarks),
        sections=sections,
        meter=meter,
        tempo_bpm=tempo_of(score, meter, remarks),
        settings=Settings(swing=swing_of(survey.swing)),
        form=form,
        by=clean(getattr(score.metadata, "composer", None) or ""),
    )
    return _in_key_heard(as_said(chart, survey.said), remarks)


def _marks(score: Any, count: int) -> list[str]:
    """Return the rehearsal mark at each measure, whichever part shows it."""
    marks = [""] * count
    for part in list(score.parts) or [score]:
        for index, measure in enumerate(part.getElementsByClass("Measure")):
            found = list(measure.getElementsByClass("RehearsalMark"))
            if found and index < count and not marks[index]:
                marks[index] = str(found[0].content)
    return marks


def _chosen_parts(score: Any, path: Path, remarks: Remarks) -> tuple[dict[str, Any], Any]:
    """Return the parts that carry the lanes, and the part of the melody."""
    parts = list(score.parts) or [score]
    counts = [len(list(part.recurse().getElementsByClass("Harmony"))) for part in parts]
    lanes = {
        lane: part
        for lane in LANES
        for part in parts
        if f"({lane} lane)" in (part.partName or "").lower()
    }
    sung = [
        part
        for part in parts
        if any("Harmony" not in each.classes and each.pitches for each in part.recurse().notes)
    ]
    ours = (p for p in parts if (p.partName or "").lower() in ("melody", "words"))
    called = (p for p in sung if "melody" in (p.partName or "").lower())
    named = next(chain(ours, called), None)
    if "plain" in lanes:
        tune = named
    else:
        lanes = {"plain": parts[counts.index(max(counts))]}
        tune = named or (lanes["plain"] if lanes["plain"] in sung else next(iter(sung), None))
    for part in parts:
        if not any(part is other for other in (*lanes.values(), tune)):
            remarks.add(f"the part {(part.partName or 'without a name')!r}")
    return lanes, tune


def _in_measures(part: Any) -> Any:
    """Return a part cut into measures, where music21 has not done so already."""
    return part if part.hasMeasures() else part.makeMeasures()


def _expanded(part: Any, remarks: Remarks) -> Any:
    """Write jumps (D.C., D.S., coda) out, for a chart has none."""
    if not list(part.recurse().getElementsByClass("RepeatExpression")):
        return part
    try:
        written_out = part.expandRepeats()
    except Exception:  # music21 gives up on jumps that lead nowhere
        remarks.add("the jumps (D.C., D.S., coda), which could not be followed")
        return part
    remarks.add("the jumps (D.C., D.S., coda) are written out bar by bar")
    return written_out


def _in_key_heard(chart: Chart, remarks: Remarks) -> Chart:
    """Return a chart in the key its changes sound in, with a remark where that is another one."""
    best = key_heard(chart)
    if best == chart.key:
        return chart
    remarks.add(f"the signature says {chart.key}, but the changes sound in {best}: key: {best}")
    return replace(chart, key=best)
