"""What is played in a film, in plain words: every bar, its chords, grips and strokes, by frame."""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.band.strumming.grip_spans import Held
from porchswing.grips.drawings.spoken import spoken
from porchswing.pages.film.scenes import Film, FilmBar, frame_at
from porchswing.pages.handout.strum_drawing import LOUD
from porchswing.rhythm.strum import StrumCell


def script_text(film: Film) -> str:
    """Return the script of a film."""
    rate = round(float(film.rate), 3)
    rows = [
        f"{film.title}: what is played",
        f"{rate:g} frames a second, {film.frames} frames; frame 0 is where the track begins.",
        "The number after a stroke is the frame in which it sounds.",
    ]
    if film.is_left_handed:
        rows.append("The grips are drawn for a left-handed player: string 1 on the left.")
    counted = [f"{shot.scene.count} {shot.first_frame}" for shot in film.shots if shot.scene.count]
    if counted:
        rows += ["", "Count-in: " + ", ".join(counted)]
    section = None
    said: set[tuple[str, str]] = set()
    for bar in film.bars:
        here = (bar.bar.section, bar.bar.pass_number, bar.bar.chorus)
        if here != section:
            section = here
            rows += ["", f"[{bar.place.rpartition(', bar ')[0]}]"]
        rows += _bar(bar, film, said)
    return "\n".join(rows) + "\n"


def _bar(bar: FilmBar, film: Film, said: set[tuple[str, str]]) -> Iterator[str]:
    minutes, seconds = divmod(bar.start_s, 60)
    clock = f"{int(minutes)}:{seconds:06.3f}"
    yield f"Bar {bar.bar.bar}, frame {frame_at(bar.start_s, film.rate)}, {clock}"
    for held, cue_s in bar.chords_s:
        yield f"  frame {frame_at(cue_s, film.rate)}: {_held(held, said)}"
    if bar.strokes:
        strokes = (
            f"{stroke_words(stroke.cell)} {frame_at(stroke.onset_s, film.rate)}"
            f"{f' ({stroke.hand})' if stroke.hand else ''}"
            for stroke in bar.strokes
        )
        yield "  strum: " + ", ".join(strokes)


def _held(held: Held, said: set[tuple[str, str]]) -> str:
    """Return a chord with its grip as a sentence, the first time it comes."""
    marks = f" ({', '.join(held.marks)})" if held.marks else ""
    if held.grip is None:
        return f"{held.symbol}{marks}, silence"
    key = (held.symbol, str(held.grip))
    words = f"{held.symbol} {held.grip}{marks}"
    if key in said:
        return words
    said.add(key)
    return f"{words}, {spoken(held.grip)}"


def stroke_words(cell: StrumCell) -> str:
    """Return a stroke in words.

    >>> from fractions import Fraction
    >>> stroke_words(StrumCell(Fraction(0), "roll", "up"))
    'roll up'
    >>> stroke_words(StrumCell(Fraction(1), "strum", "down", 0.8))
    'accented down'
    """
    strings = " ".join(map(str, cell.strings))
    if cell.kind == "pinch":
        return f"pinch strings {strings}"
    words = cell.direction if cell.kind == "strum" else f"{cell.kind} {cell.direction}"
    words = f"accented {words}" if cell.loudness >= LOUD else words
    return f"{words} (strings {strings})" if strings else words
