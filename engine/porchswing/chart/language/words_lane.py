r"""The words lane: syllables by note where the section has a melody, else by beat.

The signs are those of the ABC standard 2.1, section 5.1, as far as they are needed: ``-`` after
a syllable joins it to the next one, ``_`` holds it for another note or share, ``*`` is a note or
share without words, ``~`` a space inside a syllable, ``\`` before a sign makes it a letter.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import zip_longest

from porchswing.chart.language.problems import TextError
from porchswing.chart.language.values import read_text, write_fraction
from porchswing.chart.limits import MAX_BAR_NOTES, MAX_SYLLABLE_CHARACTERS, MAX_VERSES
from porchswing.chart.model import MelodyNote, Meter, SourcePlace, Syllable
from porchswing.chart.roadmap import with_onsets

WORDS = "words"
"""Name of the lane; ``words 2`` is its second verse."""

FINEST = (1, 2, 3, 4)
"""Into how many shares a beat of the meter may be divided where there is no melody."""

_NOWHERE = SourcePlace()
_LABEL = re.compile(r"words(?:\s+([0-9]{1,3}))?")
_SIGNS = re.compile(r"([\\\-_~*%])")
_PIECE = re.compile(r"((?:\\.|[^\-])*)(-?)", re.DOTALL)
_HELD_INSIDE = re.compile(r"(?<!\\)-(_+)")
_SPLIT_WORD = re.compile(r"(?<!\\)- (?=[^_*])")


@dataclass(frozen=True, slots=True)
class WordToken:
    """What one note or share of a bar is given: ``syllables`` as text and whether it is joined.

    Several share it evenly. Without any it is a hold (``is_hold``) or a gap.
    """

    syllables: tuple[tuple[str, bool], ...] = ()
    is_hold: bool = False
    place: SourcePlace = field(default=_NOWHERE)


def verse_lane(label: str) -> str | None:
    """Return the lane that a label of words names, ``None`` for any other label.

    >>> verse_lane("words"), verse_lane("words  2"), verse_lane("word")
    ('words', 'words 2', None)
    """
    match = _LABEL.fullmatch(label)
    if match is None:
        return None
    number = int(match[1] or 1)
    if not 1 <= number <= MAX_VERSES:
        raise TextError(f"verses are numbered 1 to {MAX_VERSES}, got {number}", width=len(label))
    return lane_of_verse(number)


def verse_number(lane: str) -> int:
    """Return the number of a lane of words, 0 for another lane."""
    return int(lane.removeprefix(WORDS) or 1) if lane.startswith(WORDS) else 0


def lane_of_verse(number: int) -> str:
    """Return the lane of a verse, counted from 1."""
    return WORDS if number == 1 else f"{WORDS} {number}"


def read_sung_word(text: str, place: SourcePlace = _NOWHERE) -> list[WordToken]:
    r"""Read one word as typed; each underscore after a syllable is a token of its own.

    >>> [token.syllables for token in read_sung_word("Lan-tern")]
    [(('Lan', True), ('tern', False))]
    >>> [token.is_hold for token in read_sung_word("street__")]
    [False, True, True]
    """
    apart = _HELD_INSIDE.sub(r"- \1 ", text).split(" ")
    if len(apart) > 1:
        return [token for part in apart if part for token in read_sung_word(part, place)]
    if text == "%":
        raise TextError("% repeats the chords of a bar, not its words", "write the words again")
    body = text.rstrip("_")
    if body.endswith("\\") and len(body) < len(text):
        body = text[: len(body) + 1]
    holds = [WordToken(is_hold=True, place=place)] * (len(text) - len(body))
    if not body:
        return holds
    if body == "*":
        return [WordToken(place=place), *holds]
    if body.startswith("-"):
        raise TextError(
            "a hyphen follows the syllable it joins",
            "for example Lan- tern, or Lan-tern",
            width=len(text),
        )
    return [WordToken(tuple(_syllables(body)), place=place), *holds]


def _syllables(body: str) -> Iterator[tuple[str, bool]]:
    """Yield the syllables of a word and whether each goes on."""
    for match in _PIECE.finditer(body):
        if not match[0]:
            continue
        if not match[1]:
            raise TextError(
                "two hyphens follow each other",
                r"write \- for a hyphen that is a letter",
                match.start(),
                len(match[0]),
            )
        # a ~ is a space, a sign behind a backslash itself
        text = read_text(re.sub(r"\\(.)|~", lambda sign: sign[1] or " ", match[1]))
        if not text.strip():
            raise TextError(
                "a syllable has a letter",
                "* is a note or share without words",
                match.start(),
                len(match[0]),
            )
        if len(text) > MAX_SYLLABLE_CHARACTERS:
            raise TextError(
                f"a syllable has at most {MAX_SYLLABLE_CHARACTERS} characters",
                "syllables of a word are joined by -",
                0,
                len(body),
            )
        yield text, bool(match[2])


def aligned(
    tokens: Sequence[WordToken], meter: Meter, melody: Sequence[MelodyNote] | None
) -> tuple[Syllable, ...]:
    """Return the syllables of a bar, one to a note where its melody sounds, else by beat.

    Syllables beyond the last note share it. Troubles count columns from the line's first.
    """
    if not tokens:
        return ()
    onsets = list(_notes(melody or ()))
    return _by_note(tokens, onsets) if onsets else _by_beat(tokens, meter)


def _notes(melody: Sequence[MelodyNote]) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield onset and length of every note that sounds."""
    for at, note in with_onsets(melody):
        if note.pitch is not None:
            yield at, note.beats


def _by_note(
    tokens: Sequence[WordToken], notes: Sequence[tuple[Fraction, Fraction]]
) -> tuple[Syllable, ...]:
    found: list[Syllable] = []
    index = 0
    can_hold = True
    for token in tokens:
        at, beats = notes[min(index, len(notes) - 1)]
        if token.is_hold:
            _held(found, token, at, at + beats, can_hold)
            index += 1
            continue
        can_hold = bool(token.syllables)
        for text, is_joined in token.syllables or ():
            at, beats = notes[min(index, len(notes) - 1)]
            found.append(Syllable(at, beats, text, is_joined, token.place))
            index += 1
        index += not token.syllables
    return tuple(found)


def _by_beat(tokens: Sequence[WordToken], meter: Meter) -> tuple[Syllable, ...]:
    _check_shares(tokens, meter)
    share = meter.bar_beats / len(tokens)
    found: list[Syllable] = []
    can_hold = True
    for index, token in enumerate(tokens):
        at = share * index
        if token.is_hold:
            _held(found, token, at, at + share, can_hold)
            continue
        can_hold = bool(token.syllables)
        own = share / max(1, len(token.syllables))
        for place, (text, is_joined) in enumerate(token.syllables):
            found.append(Syllable(at + place * own, own, text, is_joined, token.place))
    return tuple(found)


def _held(
    found: list[Syllable], token: WordToken, at: Fraction, end: Fraction, can_hold: bool
) -> None:
    """Hold the last syllable, or the one of the bar before, up to an end."""
    if not can_hold:
        raise TextError(
            "_ holds the syllable before it, and there is none",
            "* is a gap",
            token.place.column,
            token.place.width,
        )
    if found:
        found[-1] = replace(found[-1], beats=end - found[-1].at)
    else:
        found.append(Syllable(at, end - at, "", place=token.place))


def _check_shares(tokens: Sequence[WordToken], meter: Meter) -> None:
    """Refuse words that do not share a bar evenly."""
    count, units = len(tokens), meter.count
    if units % count == 0 or (count % units == 0 and count // units in FINEST):
        return
    beats = f"{units} beats" if meter.unit == 4 else f"{units} eighths"
    near = min(_counts(meter), key=lambda each: (each < count, abs(each - count)))
    apart = sum(max(1, len(token.syllables)) for token in tokens)
    hint = (
        f"here {near} would: _ holds a word for one share more, * is a share without words; "
        "a word with hyphens inside, as Lan-tern, is one share"
    )
    if apart in _counts(meter):
        hint = f"Lan- tern, with a space, gives each syllable its own share: {apart} here"
    raise TextError(
        f"this bar has {count} {'word' if count == 1 else 'words and signs'}, "
        f"which do not share {beats} evenly",
        hint,
        tokens[0].place.column,
        tokens[-1].place.column - tokens[0].place.column + tokens[-1].place.width,
    )


def _counts(meter: Meter) -> list[int]:
    """Return how many shares a bar may have."""
    whole = (count for count in range(1, meter.count) if meter.count % count == 0)
    finer = (meter.count * parts for parts in FINEST)
    return [count for count in (*whole, *finer) if count <= MAX_BAR_NOTES]


def write_words(bar: Sequence[Syllable], meter: Meter, melody: Sequence[MelodyNote] | None) -> str:
    """Return the words of one bar as the language writes them.

    Raises
    ------
    ValueError
        Where the words are sung at places that the language cannot say.
    """
    if not bar:
        return "*"
    onsets = [at for at, _ in _notes(melody or ())]
    tries = (
        [onsets]
        if onsets
        else [
            [meter.bar_beats * index / count for index in range(count)] for count in _counts(meter)
        ]
    )
    for starts in tries:
        text = " ".join(_cells(bar, starts))
        if onsets:
            text = _SPLIT_WORD.sub("-", re.sub(r"( \*)+$", "", text))
        with suppress(TextError):
            tokens = [token for word in text.split() for token in read_sung_word(word)]
            if aligned(tokens, meter, melody) == tuple(bar):
                return text
    places = ", ".join(write_fraction(each.at) for each in bar)
    raise ValueError(f"the chart language has no bar of {meter} with words at beats {places}")


def _cells(bar: Sequence[Syllable], starts: Sequence[Fraction]) -> Iterator[str]:
    """Yield what is written for every note or share."""
    waiting = list(bar)
    end = Fraction(0)
    for start, following in zip_longest(starts, starts[1:]):
        word, joins = "", False
        while waiting and (following is None or waiting[0].at < following):
            first = waiting.pop(0)
            end = first.at + first.beats
            word += "" if joins or not word else " "
            word += _written(first) if first.text else "_"
            joins = first.is_joined
        yield word or ("_" if start < end else "*")


def _written(syllable: Syllable) -> str:
    text = _SIGNS.sub(r"\\\1", syllable.text)
    return re.sub(r"\s+", "~", text) + ("-" if syllable.is_joined else "")
