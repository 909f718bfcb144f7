"""``porchswing list``: what there is to choose from."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass

import click

from porchswing.cli import base, options


@dataclass(frozen=True, slots=True)
class Listing:
    """One thing to choose: its ``name``, ``about`` in a line, and ``lines`` that show it."""

    name: str
    about: str
    lines: tuple[str, ...] = ()


def _patterns() -> Iterator[Listing]:
    from porchswing.rhythm.patterns import KINDS, counted_text, load_pattern_data, pattern_names

    for kind in KINDS:
        for name in pattern_names(kind):
            data = load_pattern_data(kind, name)
            about = f"{data.text('meter')}: {data.text('when')}"
            yield Listing(f"{kind} {name}", about, counted_text(data))


def _tunings() -> Iterator[Listing]:
    from porchswing.grips.shapes.tunings import ROWS

    for name, notes, instrument, *_, aliases in ROWS:
        also = f" (also: {', '.join(aliases.split())})" if aliases else ""
        yield Listing(name, f"{instrument}, strings {len(notes.split())} to 1: {notes}{also}")


def _chords() -> Iterator[Listing]:
    from porchswing.theory.qualities import QUALITIES

    for suffix, quality in QUALITIES.items():
        degrees = " ".join(str(degree) for degree in quality.degrees)
        yield Listing(f"C{suffix}", f"{quality.family}: {degrees}")


def _swaps() -> Iterator[Listing]:
    from porchswing.harmony.swaps.catalogue import SWAPS

    for row in SWAPS:
        lines = (row.effect, f"when: {row.when}", f"melody: {row.melody}", f"source: {row.source}")
        yield Listing(row.name, f"depth {row.depth}: {row.reason}", lines)


def _parts() -> Iterator[Listing]:
    from porchswing.options import EXTRA_PARTS, PARTS

    about = {
        "chords": "the ukulele's grips, strummed",
        "bass": "two-feel, walking, waltz and others",
        "drums": "brushes, ride and hat",
        "count": "the count-in",
        "line": "one string's line alone",
        "melody": "the melody lane",
        "solo": "the melody on top of its grips, by one player",
    }
    for part in PARTS:
        asked = "; plays only when asked for (--with, --only)" if part in EXTRA_PARTS else ""
        yield Listing(part, about[part] + asked)


def _voices() -> Iterator[Listing]:
    from porchswing.audio.synth.voices import PLUCKED

    for name, voice in PLUCKED.items():
        scale = f"{len(voice.strings)} strings of {1000 * voice.scale_m:.0f} mm"
        yield Listing(name, scale if name == voice.name else f"{scale}, the voice {voice.name}")


WHATS: dict[str, Callable[[], Iterator[Listing]]] = {
    "patterns": _patterns,
    "tunings": _tunings,
    "chords": _chords,
    "swaps": _swaps,
    "parts": _parts,
    "voices": _voices,
}
"""What can be listed, each with the function that yields its rows."""


OTHER_WHATS = {
    "basslines": "patterns",
    "grooves": "patterns",
    "instruments": "tunings",
    "rhythms": "patterns",
    "strumming": "patterns",
    "strums": "patterns",
    "substitutions": "swaps",
}
"""What people call a list elsewhere, and the list."""


@base.command(example="porchswing list patterns")
@click.argument("what", type=options.Word(tuple(WHATS), OTHER_WHATS), metavar="WHAT")
@options.json_option
def command(what: str, as_json: bool) -> None:
    """List what there is to choose from: patterns, tunings, chords, swaps, parts, voices."""
    rows = list(WHATS[what]())
    width = max(len(row.name) for row in rows) + 2
    base.Answer(as_json).show(
        {"what": what, "rows": [asdict(row) for row in rows]},
        *("\n    ".join([f"{row.name:<{width}}{row.about}", *row.lines]) for row in rows),
    )
