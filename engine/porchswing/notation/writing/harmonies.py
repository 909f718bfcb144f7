"""Chord symbols and fret diagrams as MusicXML writes them."""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from porchswing.grips.shapes.fingers import fingering
from porchswing.grips.shapes.model import Grip
from porchswing.notation.chord_kinds import kind_of
from porchswing.notation.xml import add_texts, text_child
from porchswing.theory.chords import Chord
from porchswing.theory.notes import NoteName

FRAME_FRETS = 4
"""Fewest frets a diagram shows."""


def harmony_element(
    chord: Chord | None, grip: Grip | None, offset: int = 0, *, degrees: bool = True
) -> Element:
    """Return the ``<harmony>`` of a chord, ``offset`` divisions after what stands before it.

    Without a chord it is an N.C.; with a grip it carries a fret diagram. ``degrees=False``
    leaves added and altered degrees to the printed text alone, for engravers that would print
    them a second time.
    """
    harmony = Element("harmony")
    if chord is None:
        text_child(SubElement(harmony, "root"), "root-step", "C", text="")
        text_child(harmony, "kind", "none", text="N.C.")
    else:
        _chord(harmony, chord, degrees)
    if grip is not None:
        harmony.append(frame_element(grip))
    return add_texts(harmony, {"offset": offset or None})


def _chord(harmony: Element, chord: Chord, degrees: bool) -> None:
    """Add root, kind, bass and degrees."""
    _note(harmony, "root", chord.root)
    kind, steps = kind_of(chord.quality)
    text_child(harmony, "kind", kind, text=chord.quality.suffix)
    if chord.bass is not None:
        _note(harmony, "bass", chord.bass)
    for step in steps if degrees else ():
        add_texts(
            SubElement(harmony, "degree", {"print-object": "no"}),
            {"degree-value": step.value, "degree-alter": step.alter, "degree-type": step.deed},
        )


def _note(parent: Element, name: str, note: NoteName) -> None:
    texts = {f"{name}-step": note.letter, f"{name}-alter": note.alter or None}
    add_texts(SubElement(parent, name), texts)


def frame_element(grip: Grip) -> Element:
    """Return the ``<frame>`` of a grip: strings, frets and fingers; a muted string has no note.

    String 1 is the one nearest the floor, as in MusicXML.
    """
    strings = grip.tuning.strings
    stopped = [fret for fret in grip.frets if fret]
    first = 1 if not stopped or max(stopped) <= FRAME_FRETS else min(stopped)
    frets = max([FRAME_FRETS, *(fret - first + 1 for fret in stopped)])
    frame = add_texts(Element("frame"), {"frame-strings": strings, "frame-frets": frets})
    if first > 1:
        text_child(frame, "first-fret", str(first), text=f"{first}fr")
    hand = grip.hold or fingering(grip.frets)
    fingers = hand.by_string(strings) if hand else (0,) * strings
    barres = _barres(grip)
    for index, fret in enumerate(grip.frets):
        if fret is None:
            continue
        finger = (fret and fingers[index]) or None
        texts = {"string": strings - index, "fret": fret, "fingering": finger}
        note = add_texts(SubElement(frame, "frame-note"), texts)
        if index in barres:
            SubElement(note, "barre", type=barres[index])
    return frame


def _barres(grip: Grip) -> dict[int, str]:
    """Return where a finger that lies across strings starts and stops, by tuple index."""
    hand = grip.hold or fingering(grip.frets)
    marks: dict[int, str] = {}
    for press in hand.presses if hand else ():
        own = [i for i in range(press.first, press.last + 1) if grip.frets[i] == press.fret]
        if press.is_barre and len(own) > 1:
            marks[own[0]], marks[own[-1]] = "start", "stop"
    return marks
