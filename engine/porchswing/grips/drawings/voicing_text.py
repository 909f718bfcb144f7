"""A voicing and its shapes, as facts for programs and as text for people."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from porchswing.chart.model import LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.drawings.diagram import beside, grip_text
from porchswing.grips.drawings.lines import asked_line, best_line, string_lines, target_of
from porchswing.grips.drawings.moves import Move, StrokeTimes, hardest_moves, moves, top_tempo_bpm
from porchswing.grips.search.sequences import heard_sequences
from porchswing.grips.search.voice import CurvePoint
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.grips.vocabulary.tune_shapes import TuneShape, tune_shapes

WIDTH = 78
"""Columns of text that fit every terminal."""

HARDEST = 3
"""Changes that are listed as the hardest."""

NOTES_WIDTH = 33
"""Columns for the notes of one string, beside what they do."""


def voicing_facts(
    voicing: Voicing,
    roadmap: Roadmap,
    section: str | None = None,
    line: LineTarget | None = None,
    strokes: StrokeTimes | None = None,
) -> dict[str, Any]:
    """Return a voicing as the JSON shape of ``grips``; places count the changes listed.

    Slots under N.C. are left out.
    """
    places = [
        place
        for place, slot in enumerate(voicing.slots)
        if slot.grip is not None and section in (None, slot.section)
    ]
    row_of = {place: row for row, place in enumerate(places)}
    shown = [voicing.slots[place] for place in places]
    lines = string_lines(voicing)
    made = moves(voicing, roadmap, strokes=strokes)
    top_bpm = top_tempo_bpm(made)
    return {
        "tuning": voicing.tuning.name,
        **({"left_handed": True} if voicing.tuning.is_left_handed else {}),
        "top_bpm": None if top_bpm is None else round(top_bpm),
        "cost": voicing.cost,
        "proven": voicing.is_proven,
        "changes": [_change_facts(slot) for slot in shown],
        "lines": {str(line.string): [line.notes[place] for place in places] for line in lines},
        "line_facts": {
            str(line.string): {
                "direction": line.direction,
                "steps_down": line.steps_down,
                "steps_up": line.steps_up,
                "held": line.held,
                "leaps": line.leaps,
            }
            for line in string_lines(voicing, section)
        },
        "best_lines": {
            name: str(found)
            for name in dict.fromkeys(slot.section for slot in shown)
            if (found := best_line(voicing, name)) is not None
        },
        "asked_lines": {
            name: asked_words(voicing, name, target)
            for name in dict.fromkeys(slot.section for slot in shown)
            if (target := target_of(roadmap, name, line)) is not None and target.string
        },
        "moves": [
            _move_facts(move, row_of)
            for move in made
            if move.start in row_of and move.goal in row_of
        ],
        "sequences": [
            {
                "section": heard.section,
                "first": [str(slot.chord) for slot in heard.first],
                "again": [str(slot.chord) for slot in heard.again],
                "bars": [heard.first[0].bar, heard.again[0].bar],
                "frets": heard.frets,
                "words": heard.words,
            }
            for heard in heard_sequences(voicing, section)
        ],
    }


def _change_facts(slot: VoicedSlot) -> dict[str, Any]:
    assert slot.grip is not None
    facts: dict[str, Any] = {
        "section": slot.section,
        "bar": slot.bar,
        "beat": int(slot.beat) if slot.beat.denominator == 1 else float(slot.beat),
        "symbol": str(slot.chord),
        "frets": list(slot.grip.frets),
        "midi": list(slot.grip.midi),
        "fingers": list(slot.fingers),
        "locked": slot.locked,
    }
    if slot.marks:
        facts["marks"] = list(slot.marks)
    if slot.pass_number:
        facts["pass"] = slot.pass_number
    return facts


def _move_facts(move: Move, row_of: dict[int, int]) -> dict[str, Any]:
    return {
        "from": row_of[move.start],
        "to": row_of[move.goal],
        "frets": abs(move.frets),
        "fingers": move.fingers,
        "cost": round(move.cost, 3),
        "slides": move.slides,
        "times": move.times,
        "needs_ms": round(move.needs_ms),
        "has_ms": round(move.has_ms),
    }


COST_WORDS = (
    (4.0, "easy on the hand"),
    (7.0, "a steady hand"),
    (11.0, "a busy hand"),
    (float("inf"), "hard work"),
)
"""What a cost a chord means in words; the bounds are ours, from the demos in both lanes."""


# --- text ----------------------------------------------------------------------------------


def _headline(voicing: Voicing) -> str:
    proof = "" if voicing.is_proven else " (the best found; there is too much to prove)"
    each = voicing.cost / max(1, sum(slot.grip is not None for slot in voicing.slots))
    words = next(words for most, words in COST_WORDS if each < most)
    return (
        f"{voicing.tuning.name}, {voicing.lane} lane, {words}: "
        f"cost {voicing.cost:.2f}, {each:.1f} a chord{proof}"
    )


def _bar_rows(slots: Sequence[VoicedSlot]) -> Iterator[str]:
    """Yield rows of four bars, their columns aligned."""
    bars: dict[tuple[int, int], list[str]] = {}
    for slot in slots:
        marks = f"{{{','.join(slot.marks)}}}" if slot.marks else ""
        words = f"{slot.chord} {slot.grip}{marks}" if slot.grip else "N.C."
        bars.setdefault((slot.pass_number, slot.bar), []).append(words)
    cells = ["  ".join(words) for words in bars.values()]
    wide = max(map(len, cells), default=0)
    per_row = 4 if 4 * (wide + 3) <= WIDTH + 1 else 2
    for start in range(0, len(cells), per_row):
        row = " | ".join(cell.ljust(wide) for cell in cells[start : start + per_row])
        yield f"| {row} |"


def full_text(
    voicing: Voicing,
    roadmap: Roadmap,
    section: str | None = None,
    line: LineTarget | None = None,
    strokes: StrokeTimes | None = None,
) -> str:
    """Return the grips with diagrams, the line of every string and the hardest changes."""
    rows: list[str] = [_headline(voicing)]
    for name in voicing.sections:
        if section not in (None, name):
            continue
        slots = [slot for slot in voicing.slots if slot.section == name]
        rows += ["", _heading(roadmap, name), *_bar_rows(slots), ""]
        rows += beside(_diagrams(slots), WIDTH)
        rows += ["", *_line_rows(voicing, name, target_of(roadmap, name, line))]
        rows += _sequence_rows(voicing, name)
        rows += _move_rows(voicing, roadmap, name)
    hard = [
        move
        for move in hardest_moves(voicing, roadmap, len(voicing.slots), strokes=strokes)
        if section in (None, move.before.section)
    ]
    if hard:
        rows += ["", "hardest changes"]
        for move in hard[:HARDEST]:
            rows += [f"  {move}", f"    {move.time_words}"]
        top_bpm = top_tempo_bpm(hard)
        if top_bpm is not None:
            rows.append(f"every change has its time up to {top_bpm:.0f} bpm")
    return "\n".join(rows)


def _heading(roadmap: Roadmap, section: str) -> str:
    """Return a section's name, and whose place it takes where it is for the last time only."""
    base = next((bar.base for bar in roadmap.bars if bar.section == section), section)
    return f"[{section}]" + (f"  the last time, for [{base}]" if base != section else "")


def _diagrams(slots: Sequence[VoicedSlot]) -> list[tuple[str, ...]]:
    """Return a diagram for each chord with its grip and fingers, once each, in order."""
    seen: dict[tuple[str, Grip, tuple[int, ...]], Grip] = {}
    for slot in slots:
        if slot.grip is not None:
            seen.setdefault((str(slot.chord), slot.grip, slot.fingers), slot.grip)
    return [grip_text(grip, symbol) for (symbol, _, _), grip in seen.items()]


def asked_words(voicing: Voicing, section: str, target: LineTarget) -> str:
    """Return in words what became of the line asked for on one string of a section."""
    run = asked_line(voicing, target, section)
    if run is not None:
        return str(run)
    way = {"down": " falling", "up": " rising", None: ""}[target.direction]
    return f"string {target.string} carries no{way} line here"


def _line_rows(voicing: Voicing, section: str, target: LineTarget | None) -> Iterator[str]:
    if target is not None and target.string is not None:
        yield f"the line asked for: {asked_words(voicing, section, target)}"
    best = best_line(voicing, section)
    if best is not None and (target is None or best.string != target.string):
        yield f"the line to hear: {best}"
    for line in string_lines(voicing, section):
        notes = _joined([note or "–" for note in line.notes])
        yield f"  string {line.string}: {notes} ({line.summary})"


def _sequence_rows(voicing: Voicing, section: str) -> Iterator[str]:
    """Yield the progressions heard again, each with what the hand does."""
    heard = heard_sequences(voicing, section)
    if heard:
        yield "heard again:"
    for sequence in heard:
        for number, row in enumerate(textwrap.wrap(str(sequence), WIDTH - 4)):
            yield ("    " if number else "  ") + row


def _move_rows(voicing: Voicing, roadmap: Roadmap, section: str) -> Iterator[str]:
    """Tell the way through a section from chord to chord, wrapped."""
    words: list[str] = []
    for move in moves(voicing, roadmap):
        if not move.start < move.goal or {move.before.section, move.after.section} != {section}:
            continue
        if not words:
            words.append(str(move.before.chord))
        words += [f"({move.summary})", str(move.after.chord)]
    if words:
        yield "the moves:"
        text = " ".join(word.replace(" ", "\N{NO-BREAK SPACE}") for word in words)
        for row in textwrap.wrap(text, WIDTH - 2, break_long_words=False, break_on_hyphens=False):
            yield "  " + row.replace("\N{NO-BREAK SPACE}", " ")


def _joined(notes: Sequence[str]) -> str:
    """Write notes one after another, a repeated one once, shortened to one row of text."""
    once = [note for place, note in enumerate(notes) if place == 0 or notes[place - 1] != note]
    words = [note.rstrip("0123456789") if note != "–" else note for note in once]
    text = " ".join(words)
    return text if len(text) <= NOTES_WIDTH else text[: NOTES_WIDTH - 2].rsplit(" ", 1)[0] + " …"


# --- shapes --------------------------------------------------------------------------------


def shape_facts(
    voicing: Voicing, curve: Sequence[CurvePoint] = (), section: str | None = None
) -> dict[str, Any]:
    """Return the shapes of a voicing and the curve as the JSON shape of ``grips --shapes``."""
    return {
        "shapes": [_shape_facts(each) for each in tune_shapes(voicing, section)],
        "curve": [
            {"shapes": each.shapes, "cost": each.voicing.cost, "proven": each.voicing.is_proven}
            for each in curve
        ],
    }


def _shape_facts(each: TuneShape) -> dict[str, Any]:
    return {
        "name": each.name,
        "frets": list(each.shape.frets),
        "fingers": list(each.shape.fingers),
        "movable": each.shape.is_movable,
        "known": each.is_known,
        "used": [
            {
                "symbol": str(use.chord),
                "fret": use.fret,
                "section": use.section,
                "bar": use.bar,
                "frets": list(use.grip.frets),
            }
            for use in each.uses
        ],
    }


def shapes_text(
    voicing: Voicing, curve: Sequence[CurvePoint] = (), section: str | None = None
) -> str:
    """Return the shapes of a voicing, drawn and listed, with the curve beneath."""
    found = tune_shapes(voicing, section)
    firsts = [each.uses[0] for each in found]
    drawn = [grip_text(use.grip, f"{number} {use.chord}") for number, use in enumerate(firsts, 1)]
    rows = [_shapes_headline(voicing, found), ""]
    for number, each in enumerate(found, 1):
        mark = " (new)" if voicing.hand.known and not each.is_known else ""
        rows.append(f"{number:>2}  {each}{mark}")
    rows += ["", *beside(drawn)]
    if curve:
        rows += ["", "fewer shapes, and what they cost:"]
        for point in curve:
            proof = "" if point.voicing.is_proven else "  (the best found; not proven)"
            rows.append(f"  {point.shapes:>2} shapes: {point.voicing.cost:.2f}{proof}")
    return "\n".join(rows)


def _shapes_headline(voicing: Voicing, found: Sequence[TuneShape]) -> str:
    new = sum(not each.is_known for each in found)
    words = f"{voicing.tuning.name}, {voicing.lane} lane: {len(found)} shapes"
    return words + (f", {new} of them new" if voicing.hand.known else "")
