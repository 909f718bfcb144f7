"""A grip as a sentence, for those who hear a page instead of seeing it."""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.grips.shapes.fingers import Press
from porchswing.grips.shapes.model import Grip, Voicing

FINGERS = ("", "first", "second", "third", "fourth")
"""The fingers of the fretting hand, from the index finger on."""

ORDINALS = (
    "nut", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
    "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth",
    "seventeenth", "eighteenth", "nineteenth", "twentieth", "twenty-first", "twenty-second",
    "twenty-third", "twenty-fourth",
)  # fmt: skip
"""Frets in words, by number."""


def spoken(grip: Grip) -> str:
    """Return a grip as one sentence without its full stop, finger by finger.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> spoken(Grip((5, 5, 5, 5), tuning("gCEA")))
    'first finger across all strings at the fifth fret'
    >>> spoken(Grip((0, 0, 0, 3), tuning("gCEA")))
    'third finger on string 1 at the third fret; strings 4, 3 and 2 open'
    """
    words = [
        _press(press, grip)
        for press in sorted(grip.held.presses, key=lambda press: (press.finger, press.fret))
    ]
    for state, fret in (("open", 0), ("muted", None)):
        strings = [_string(grip, i) for i, here in enumerate(grip.frets) if here == fret]
        if len(strings) == len(grip.frets):
            words.append(f"all strings {state}")
        elif strings:
            words.append(f"{_strings(strings)} {state}")
    return "; ".join(words)


def _press(press: Press, grip: Grip) -> str:
    finger, fret = FINGERS[press.finger], ORDINALS[press.fret]
    if not press.is_barre:
        where = f"on string {_string(grip, press.first)}"
    elif press.last - press.first + 1 == len(grip.frets):
        where = "across all strings"
    else:
        where = f"across strings {_string(grip, press.first)} to {_string(grip, press.last)}"
    return f"{finger} finger {where} at the {fret} fret"


def _string(grip: Grip, index: int) -> int:
    return grip.tuning.strings - index


def _strings(numbers: list[int]) -> str:
    if len(numbers) == 1:
        return f"string {numbers[0]}"
    return f"strings {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def spoken_lines(voicing: Voicing, section: str | None = None) -> Iterator[str]:
    """Yield a tune's grips in the order of the chart, a sentence a chord.

    A grip that was said before in the section is named by its chord alone.
    """
    here, said = "", set[tuple[str, str]]()
    for slot in voicing.slots:
        if section not in (None, slot.section):
            continue
        if slot.section != here:
            here = slot.section
            said.clear()
            yield f"Section {here}."
        where = f"Bar {slot.bar}" + ("" if slot.beat == 1 else f", beat {float(slot.beat):g}")
        if slot.grip is None or slot.chord is None:
            yield f"{where}: silence."
            continue
        key = (slot.chord.symbol, str(slot.grip))
        again = key in said
        said.add(key)
        yield f"{where}: {slot.chord}, " + ("as before." if again else f"{spoken(slot.grip)}.")
