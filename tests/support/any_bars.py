"""Bars, melodies, words and settings of any valid shape, each made from one number.

Hypothesis draws how many there are and a number for each (:mod:`support.strategies`), not every
fret and beat: a chart costs a twentieth of the time, and what fails still loses bars one by one
and has the rest made simple, since 0 gives the simplest of each.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

from porchswing.chart.model import (
    MARKS,
    Bar,
    LineTarget,
    MelodyNote,
    Meter,
    Settings,
    Slot,
    SwingSetting,
    Syllable,
)
from porchswing.theory.chords import Chord
from porchswing.theory.notes import LETTERS, NoteName
from porchswing.theory.qualities import QUALITIES

C_MAJOR = Chord(NoteName("C"), QUALITIES[""], None)
NOTE_NAMES = tuple(NoteName(letter, alter) for letter in LETTERS for alter in (-1, 0, 1))
SYLLABLE_CHARACTERS = "ab-_~*%\\'é夢א:(x"
WORD_CHARACTERS = "abcdefghijklmnopqrstuvwxyz_"


def any_chord(number: int, slash: bool = True) -> Chord:
    """Return a chord of the quality table, perhaps over another bass."""
    return _chord(Random(number), slash) if number else C_MAJOR


def _chord(chance: Random, slash: bool = True) -> Chord:
    root = chance.choice(NOTE_NAMES)
    quality = chance.choice(tuple(QUALITIES.values()))
    bass = chance.choice(NOTE_NAMES) if slash and chance.random() < 0.5 else None
    return Chord(root, quality, bass if bass != root else None)


def any_bar(number: int, meter: Meter) -> Bar:
    """Return a bar whose chords last whole units of the meter, some with frets and marks."""
    if not number:
        return Bar((Slot(C_MAJOR, meter.bar_beats),))
    chance = Random(number)
    units = _filling(chance, meter.count, meter.count)
    slots = tuple(_slot(chance, unit * meter.unit_beats) for unit in units)
    return Bar(slots, barline=chance.choice(("|", "|", "|", "||")))


def _slot(chance: Random, beats: Fraction) -> Slot:
    if chance.random() < 1 / 13:
        return Slot(None, beats)
    frets = None
    if chance.random() < 1 / 7:
        drawn = [chance.choice((None, *range(16))) for _ in range(4)]
        frets = tuple(drawn) if any(fret is not None for fret in drawn) else (0, 0, 0, 0)
    return Slot(_chord(chance), beats, frets, tuple(chance.sample(MARKS, chance.randint(0, 2))))


def _filling(chance: Random, count: int, most: int) -> list[int]:
    """Return at most so many whole lengths, and one that fills the count."""
    lengths: list[int] = []
    for _ in range(chance.randint(1, most)):
        length = chance.randint(1, count)
        if sum(lengths) + length > count:
            break
        lengths.append(length)
    rest = count - sum(lengths)
    return [*lengths, rest] if rest else lengths


def any_melody_bar(number: int, meter: Meter) -> tuple[MelodyNote, ...]:
    """Return one bar of melody in units and their halves."""
    if not number:
        return (MelodyNote(60, meter.bar_beats),)
    chance = Random(number)
    return tuple(
        MelodyNote(
            chance.randint(48, 84) if chance.random() < 0.5 else None,
            Fraction(halves, 2) * meter.unit_beats,
        )
        for halves in _filling(chance, 2 * meter.count, 6)
    )


def any_words_bar(
    number: int, meter: Meter, melody: tuple[MelodyNote, ...]
) -> tuple[Syllable, ...]:
    """Return syllables, holds and gaps over the notes of a bar, or over even shares of it."""
    chance = Random(number)
    found: list[Syllable] = []
    can_hold = True
    for start, end in _places_to_sing(chance, meter, melody):
        kind = chance.choice(("word", "word", "hold", "gap"))
        if kind == "word":
            found.append(Syllable(start, end - start, _syllable(chance), chance.random() < 0.5))
        elif kind == "hold" and can_hold and found:
            found[-1] = replace(found[-1], beats=end - found[-1].at)
        elif kind == "hold" and can_hold:
            found.append(Syllable(start, end - start, ""))
        can_hold = kind == "word" or (kind == "hold" and can_hold)
    return tuple(found)


def _places_to_sing(
    chance: Random, meter: Meter, melody: tuple[MelodyNote, ...]
) -> list[tuple[Fraction, Fraction]]:
    """Return where each note that sounds starts and ends; without one, even shares of the bar."""
    places, end = [], Fraction(0)
    for note in melody:
        end += note.beats
        if note.pitch is not None:
            places.append((end - note.beats, end))
    if places:
        return places
    count = chance.choice((1, meter.count, 2 * meter.count))
    share = meter.bar_beats / count
    return [(share * index, share * (index + 1)) for index in range(count)]


def _syllable(chance: Random) -> str:
    if chance.random() < 0.5:
        return "of the"
    return "".join(chance.choices(SYLLABLE_CHARACTERS, k=chance.randint(1, 4)))


def any_settings(number: int) -> Settings:
    """Return settings, each of them said or left unsaid."""
    if not number:
        return Settings()
    chance = Random(number)

    def said(value: Any) -> Any:
        return value if chance.random() < 0.5 else None

    def word() -> str:
        return "".join(chance.choices(WORD_CHARACTERS, k=chance.randint(1, 12)))

    part = chance.randint(1, 12)
    ratio = Fraction(chance.randint(part, 4 * part), part)
    return Settings(
        strum=said(word()),
        bass=said(word()),
        drums=said(word()),
        swing=said(SwingSetting(said(ratio))),
        tempo_bpm=said(float(chance.randint(30, 400))),
        line=said(LineTarget(chance.randint(1, 4), chance.choice((None, "down", "up")))),
        frets=said((chance.randint(0, 6), chance.randint(7, 15))),
    )
