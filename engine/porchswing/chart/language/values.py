"""Reading and writing the values that header and section lines give, each by one pair.

Readers raise :class:`~porchswing.chart.language.problems.TextError`; writers return the
canonical text.
"""

from __future__ import annotations

import re
from fractions import Fraction

from porchswing.chart.language.problems import TextError, nearest, shortened, wrong
from porchswing.chart.limits import (
    MAX_CHORUSES,
    MAX_DEPTH,
    MAX_FORM,
    MAX_FRET,
    MAX_METER_COUNT,
    MAX_PLAYED_BARS,
    MAX_REPEATS,
    MAX_STRINGS,
    MAX_VALUE_CHARACTERS,
)
from porchswing.chart.model import STYLES, LineTarget, Meter, SwingSetting
from porchswing.theory.keys import Key

MIN_TEMPO_BPM, MAX_TEMPO_BPM = 30, 400
MAX_SWING = 4
MAX_SEED = 2**31 - 1
_NUMBER = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?")
_WORD = re.compile(r"[\w#.'+-]{1,60}")
_DIRECTIONS = dict.fromkeys(
    (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))
)
_TIMES = re.compile(r"x([0-9]+)")
TIMES_BEFORE = re.compile(r"([0-9]+)x?([\w#.'+-]+)")
"""How often before a section's name, ``2xA``, where a form wants it after."""

_METER_WORDS = {"c": "4/4", "common": "4/4", "cut": "4/4", "march": "2/4", "waltz": "3/4"}
_NAMED_SWINGS = {"auto": SwingSetting(None), "straight": SwingSetting(Fraction(1))}
_SWING_WORDS = {
    **{"dotted": "3", "heavy": "3", "light": "1.5", "none": "straight", "even": "straight"},
    **{"off": "straight", "no": "straight", "on": "auto", "yes": "auto", "swing": "auto"},
    **{"triplet": "2", "triplets": "2", "medium": "2"},
}


def read_text(text: str) -> str:
    """Read free text, such as a title; signs that turn the direction of writing are left out.

    They could make a page or a terminal show other words than the text holds (Unicode Technical
    Report 36, section 2.4; the signs are those of Annex 9).
    """
    text = text.translate(_DIRECTIONS)
    if len(text) > MAX_VALUE_CHARACTERS:
        raise TextError(f"at most {MAX_VALUE_CHARACTERS} characters here, got {len(text)}")
    return text


def read_word(text: str, what: str = "one word", hint: str = "") -> str:
    """Read one word, such as the name of a pattern or a section; strokes typed out are none."""
    if not _WORD.fullmatch(text):
        raise wrong(f"{what} is expected here", text, hint)
    return text


def read_style(text: str) -> str:
    """Read the name of a style.

    >>> read_style("Hot  swing")
    'hot swing'
    """
    name = " ".join(text.lower().split())
    if name not in STYLES:
        raise TextError(f"unknown style {shortened(text)}", nearest(name, STYLES), width=len(text))
    return name


def read_tuning(text: str) -> str:
    """Read a tuning: a name or its notes; whether it exists is seen when grips are sought."""
    if len(text) > 60:
        raise TextError("a tuning is a name or its notes, such as gCEA", width=len(text))
    return text


def read_key(text: str) -> Key:
    """Read a key such as ``Bb`` or ``G minor``."""
    try:
        return Key.parse(text)
    except ValueError as error:
        message, _, meant = str(error).partition("; ")
        if not meant.startswith("did you mean"):
            message, meant = str(error), "for example Bb or G minor"
        raise TextError(message, meant, width=len(text)) from None


def read_meter(text: str) -> Meter:
    """Read a meter ``n/4`` or ``n/8``."""
    match = re.fullmatch(r"([0-9]{1,3})\s*/\s*([0-9]{1,3})", text)
    if match is None or match[2] not in ("4", "8"):
        hint = "for example 4/4, 3/4 or 6/8"
        meant = _METER_WORDS.get(text.lower(), re.sub(r"\s*[:;.,-]\s*", "/", text))
        if meant != text and re.fullmatch("[1-9][0-9]?/[48]", meant):
            hint = f"did you mean {meant}?"
        raise wrong("a meter is n/4 or n/8", text, hint)
    count = int(match[1])
    if not 1 <= count <= MAX_METER_COUNT:
        raise TextError(f"a bar has 1 to {MAX_METER_COUNT} beats, got {count}", width=len(match[1]))
    return Meter(count, int(match[2]))


def read_tempo(text: str) -> float:
    """Read a tempo in beats per minute."""
    if not _NUMBER.fullmatch(text) or not MIN_TEMPO_BPM <= float(text) <= MAX_TEMPO_BPM:
        said = [n for n in _NUMBER.findall(text) if MIN_TEMPO_BPM <= float(n) <= MAX_TEMPO_BPM]
        raise wrong(
            f"a tempo is {MIN_TEMPO_BPM} to {MAX_TEMPO_BPM} beats per minute",
            text,
            f"one number: {' or '.join(said[:2])}" if said else "for example 120",
        )
    return float(text)


def write_number(value: float) -> str:
    """Write a number without needless digits."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def read_swing(text: str) -> SwingSetting:
    """Read a swing ratio in any of its forms.

    >>> read_swing("2:1").ratio, read_swing("60%").ratio, read_swing("auto").ratio
    (Fraction(2, 1), Fraction(3, 2), None)
    """
    word = text.lower()
    if word in _NAMED_SWINGS:
        return _NAMED_SWINGS[word]
    ratio = _swing_ratio(word)
    if ratio is None:
        hint = "for example 2, 1.5, 2:1, 66%, straight or auto"
        if word in _SWING_WORDS:
            hint = f"did you mean {_SWING_WORDS[word]}?"
        raise TextError(f"not a swing ratio: {shortened(text)}", hint, width=len(text))
    if not 1 <= ratio <= MAX_SWING:
        raise wrong(
            f"a swing ratio is 1 (straight) to {MAX_SWING} (50% to 80%)",
            text,
            f"write {word}%" if 50 <= ratio <= 80 else "2 is triplet swing",
        )
    return SwingSetting(ratio)


def _swing_ratio(word: str) -> Fraction | None:
    """Return the ratio given by a number, a percentage or ``long:short``."""
    first, colon, second = word.partition(":")
    if colon:
        numbers = (first.strip(), second.strip())
        if all(_NUMBER.fullmatch(number) for number in numbers) and Fraction(numbers[1]):
            return Fraction(numbers[0]) / Fraction(numbers[1])
        return None
    number = word.removesuffix("%").strip()
    value = Fraction(number) if _NUMBER.fullmatch(number) else None
    if value is None or not word.endswith("%"):
        return value
    return value / (100 - value) if value < 100 else Fraction(100)


def write_swing(swing: SwingSetting) -> str:
    """Write a swing setting."""
    if swing.ratio is None:
        return "auto"
    if swing.ratio == 1:
        return "straight"
    return write_fraction(swing.ratio, ":")


def write_fraction(value: Fraction, sign: str = "/") -> str:
    """Write a fraction as a short decimal where it is one, else with ``sign`` between.

    >>> write_fraction(Fraction(3, 2)), write_fraction(Fraction(1, 3))
    ('1.5', '1/3')
    """
    if 1000 % value.denominator == 0:
        return write_number(float(value))
    return f"{value.numerator}{sign}{value.denominator}"


def read_line(text: str) -> LineTarget:
    """Read which string carries a line: ``4``, ``4 down``, ``1 up`` or ``none``."""
    if text.lower() == "none":
        return LineTarget()
    match = re.fullmatch(r"([0-9])(?:\s+(\w{1,20}))?", text)
    if match is None:
        raise wrong("a line is a string number and perhaps down or up", text, "for example 4 down")
    if not 1 <= int(match[1]) <= MAX_STRINGS:
        raise TextError(f"strings are numbered 1 to {MAX_STRINGS}, got {match[1]}")
    if match[2] not in (None, "down", "up"):
        raise TextError(
            f"a line goes down or up, got {match[2]!r}",
            "for example 4 down",
            match.start(2),
            len(match[2]),
        )
    return LineTarget(int(match[1]), match[2])


def write_line(line: LineTarget) -> str:
    """Write which string carries a line."""
    if line.string is None:
        return "none"
    return f"{line.string} {line.direction}" if line.direction else str(line.string)


def read_frets(text: str) -> tuple[int, int]:
    """Read a window of frets such as ``4-8``."""
    match = re.fullmatch(r"([0-9]{1,3})\s*[-–]\s*([0-9]{1,3})", text)
    if match is None:
        raise wrong("a window of frets is low-high", text, "for example 4-8")
    low, high = int(match[1]), int(match[2])
    if not low <= high <= MAX_FRET:
        raise TextError(
            f"frets rise from 0 to {MAX_FRET}, got {low}-{high}", "for example 4-8", width=len(text)
        )
    return low, high


def write_frets(frets: tuple[int, int]) -> str:
    """Write a window of frets."""
    return f"{frets[0]}-{frets[1]}"


def read_depth(text: str) -> int:
    """Read how far a section is reharmonised."""
    return int(one_of("depth", tuple(str(depth) for depth in range(MAX_DEPTH + 1)), text))


def one_of(name: str, known: tuple[str, ...], text: str) -> str:
    """Read one of a few words; ``name`` is the key that errors give."""
    if text not in known:
        raise wrong(f"{name} must be one of {', '.join(known)}", text, nearest(text, known))
    return text


def read_yes(text: str) -> bool:
    """Read ``yes`` or ``no``."""
    if text.lower() not in ("yes", "no"):
        raise wrong("yes or no is expected here", text)
    return text.lower() == "yes"


def write_yes(value: bool) -> str:
    """Write ``yes`` or ``no``."""
    return "yes" if value else "no"


def read_seed(text: str) -> int:
    """Read a seed for the generators."""
    if not re.fullmatch(r"[0-9]{1,10}", text) or int(text) > MAX_SEED:
        raise wrong(f"a seed is a whole number from 0 to {MAX_SEED}", text)
    return int(text)


class FormTooLongError(TextError):
    """A form that plays something too often; ``plays`` has each name and how often it comes."""

    def __init__(
        self, message: str, offset: int, width: int, plays: tuple[tuple[str, int], ...]
    ) -> None:
        self.plays = plays
        super().__init__(
            message,
            f"--choruses plays the whole form up to {MAX_CHORUSES} times, {MAX_PLAYED_BARS:,} "
            "bars at most",
            offset,
            width,
        )


def read_form(text: str) -> tuple[str, ...]:
    """Read sections in playing order, with ``x2`` after a name to play it twice.

    >>> read_form("A x2 B A")
    ('A', 'A', 'B', 'A')
    """
    plays: list[tuple[str, int]] = []
    count, too_long = 0, ""
    for match in re.finditer(r"[^\s,]+", text):
        times = _TIMES.fullmatch(match[0])
        if times is None:
            plays.append((match[0], 1))
        elif not plays:
            raise TextError(
                f"{match[0]} needs a section before it",
                "for example A x2 B A",
                match.start(),
                len(match[0]),
            )
        else:
            plays.append((plays[-1][0], int(times[1]) - 1))
            if not 1 <= int(times[1]) <= MAX_REPEATS and not too_long:
                too_long, where = (
                    f"a section is played 1 to {MAX_REPEATS} times in a row, got {match[0][:20]}",
                    match,
                )
        count += plays[-1][1]
        if count > MAX_FORM and not too_long:
            too_long, where = f"a form plays at most {MAX_FORM} sections", match
    if too_long:
        raise FormTooLongError(too_long, where.start(), len(where[0]), tuple(plays))
    return tuple(name for name, times in plays for _ in range(times))
