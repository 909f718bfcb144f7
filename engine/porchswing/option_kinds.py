"""Kinds of option value: how each is read from a typed text or from TOML, and checked.

``read`` takes the text of a command line, ``convert`` a value of a TOML file, ``check`` a
finished value in a record. All three raise :class:`~porchswing.errors.OptionError` whose
message goes on after the option's name: ``must be 0 to 4, got 7``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NoReturn

from porchswing.chart.language.problems import TextError
from porchswing.chart.language.values import read_swing, write_number
from porchswing.chart.limits import MAX_STRINGS
from porchswing.chart.model import LineTarget, SwingSetting
from porchswing.errors import OptionError, near_hint
from porchswing.theory.keys import Key, key_meant
from porchswing.toml_table import MAX_TEXT, short


class Kind:
    """What an option's value is; ``metavar`` stands for it in the help."""

    metavar = "VALUE"
    is_list = False

    def read(self, text: str) -> Any:
        """Return the value that a text of the command line stands for."""
        return self.convert(text)

    def convert(self, value: object) -> Any:
        """Return the value that a TOML value stands for: itself, where it is allowed."""
        self.check(value)
        return value

    def check(self, value: Any) -> None:
        """Raise unless a finished value is allowed."""

    def fields(self, name: str, value: Any) -> dict[str, Any]:
        """Return the fields of the record that a value sets; ``name`` is the row's own."""
        return {name: value}


def refuse(rule: str, value: object, hint: str = "") -> NoReturn:
    """Raise the error of a value that breaks a rule."""
    raise OptionError(f"must be {rule}, got {short(value)}{hint}")


@dataclass(frozen=True, slots=True)
class Number(Kind):
    """A number from ``low`` to ``high``, whole or not, in a unit."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False
    shown: str = ""

    @property
    def metavar(self) -> str:  # type: ignore[override]
        """What stands for it in the help: as given, else the unit, else the range."""
        return (
            self.shown
            or self.unit.upper()
            or f"{write_number(self.low)}..{write_number(self.high)}"
        )

    @property
    def rule(self) -> str:
        """What is allowed, in words."""
        whole = "a whole number from " if self.whole else ""
        return f"{whole}{write_number(self.low)} to {write_number(self.high)} {self.unit}".rstrip()

    def read(self, text: str) -> float:
        """Return the number a text gives."""
        try:
            return self.convert(int(text) if self.whole else float(text))
        except ValueError:
            refuse(self.rule, text)

    def convert(self, value: object) -> float:
        """Return a number as it is, whole ones as integers."""
        self.check(value)
        assert isinstance(value, int | float)
        return int(value) if self.whole else float(value)

    def check(self, value: Any) -> None:
        """Raise unless the value is a number in the range."""
        is_number = isinstance(value, int if self.whole else int | float)
        if not is_number or isinstance(value, bool) or not self.low <= value <= self.high:
            refuse(self.rule, value)


TEMPO_SHARES = Number(0.1, 4.0)
"""Shares of a chart's tempo that may be asked for."""


@dataclass(frozen=True, slots=True)
class Tempo(Number):
    """Beats a minute, or on the command line and in courses a share of the tune's own: ``60%``.

    A share sets the field ``tempo_share`` and leaves ``tempo_bpm`` to the chart.
    """

    def read(self, text: str) -> float | str:  # type: ignore[override]
        """Return beats a minute, with or without ``bpm``, or a share as it was typed."""
        text = text.lower().removesuffix("bpm").strip()
        return self.convert(text) if text.endswith("%") else Number.read(self, text)

    def convert(self, value: object) -> float | str:  # type: ignore[override]
        """Return beats a minute, or a share such as ``60%`` as it was typed."""
        if isinstance(value, str) and value.endswith("%"):
            self.fields("", value)
            return value
        return Number.convert(self, value)

    def fields(self, name: str, value: Any) -> dict[str, Any]:
        """Return the tempo, or the share of the chart's, each with the other at its default."""
        if not isinstance(value, str):
            return {name: value, "tempo_share": 1.0}
        low, high = TEMPO_SHARES.low * 100, TEMPO_SHARES.high * 100
        try:
            percent = float(value.removesuffix("%"))
        except ValueError:
            percent = -1.0
        if not low <= percent <= high:
            refuse(f"{self.rule}, or {low:g}% to {high:g}% of the chart's tempo", value)
        return {name: None, "tempo_share": percent / 100}


class Flag(Kind):
    """Yes or no."""

    def check(self, value: Any) -> None:
        """Raise unless the value is true or false."""
        if not isinstance(value, bool):
            refuse("true or false", value)


@dataclass(frozen=True, slots=True)
class Name(Kind):
    """A name that is looked up where it is used: a pattern, a section, a tuning."""

    metavar: str = "NAME"

    def check(self, value: Any) -> None:
        """Raise unless the value is a text with something in it."""
        if not isinstance(value, str) or not value.strip() or len(value) > MAX_TEXT:
            refuse("a name", value)


@dataclass(frozen=True, slots=True)
class OneOf(Kind):
    """One of a few words or numbers."""

    words: tuple[Any, ...]

    @property
    def metavar(self) -> str:  # type: ignore[override]
        """The words themselves."""
        return "|".join(map(str, self.words))

    def read(self, text: str) -> Any:
        """Return the word that a text spells."""
        spelled = {str(word): word for word in self.words}
        return self.convert(spelled.get(text.strip(), text))

    def check(self, value: Any) -> None:
        """Raise unless the value is one of the words."""
        if isinstance(value, bool) or value not in self.words:
            words = tuple(map(str, self.words))
            refuse(f"one of {', '.join(words)}", value, near_hint(str(value), words))


@dataclass(frozen=True, slots=True)
class Several(Kind):
    """Several values of one kind: given again and again, or in one list with commas."""

    item: Kind
    is_list = True

    @property
    def metavar(self) -> str:  # type: ignore[override]
        """What one of them is called."""
        return self.item.metavar

    def read(self, text: str) -> tuple[Any, ...]:
        """Return the values that a text lists; words without spaces may be parted by them too."""
        if isinstance(self.item, OneOf) and not any(" " in str(each) for each in self.item.words):
            text = ",".join(text.replace(",", " ").split())
        return tuple(self.item.read(word.strip()) for word in text.split(","))

    def convert(self, value: object) -> tuple[Any, ...]:
        """Return the values of a list, each once; one alone may be given without its list."""
        values = value if isinstance(value, list | tuple) else [value]
        return tuple(dict.fromkeys(map(self.item.convert, values)))

    def check(self, value: Any) -> None:
        """Raise unless every value is allowed."""
        if not isinstance(value, tuple):
            refuse("a tuple", value)
        for each in value:
            self.item.check(each)


class KeyName(Kind):
    """A key as charts write it: ``Bb``, ``G minor``."""

    metavar = "KEY"

    def convert(self, value: object) -> str:
        """Return the key's canonical text."""
        return str(key_named(value if isinstance(value, str) else repr(value)))

    def check(self, value: Any) -> None:
        """Raise unless the text names a key."""
        self.convert(value)


def key_named(text: str) -> Key:
    """Return the key a text names, as charts write it.

    >>> str(key_named("Eb"))
    'Eb'
    """
    try:
        return Key.parse(text)
    except ValueError:
        example = key_meant(text) or 'Bb or "G minor"'
        refuse(f"a key, for example {example}", text)


class Swing(Kind):
    """A swing as charts write it: ``2``, ``2:1``, ``66%``, ``straight`` or ``auto``."""

    metavar = "RATIO"

    def convert(self, value: object) -> SwingSetting:
        """Return the setting that a ratio or a text stands for."""
        if isinstance(value, bool) or not isinstance(value, SwingSetting | int | float | str):
            refuse("a swing ratio, for example 2, 2:1, 66%, straight or auto", value)
        return swing_setting(value)

    def check(self, value: Any) -> None:
        """Raise unless the value is a swing setting in the range."""
        if not isinstance(value, SwingSetting):
            refuse("a swing setting", value)
        if value.ratio is not None:
            swing_setting(float(value.ratio))


def swing_setting(value: SwingSetting | float | str) -> SwingSetting:
    """Return a swing setting from a ratio or from a text as charts write it.

    >>> swing_setting(1.5).ratio, swing_setting("2:1").ratio, swing_setting("auto").ratio
    (Fraction(3, 2), Fraction(2, 1), None)
    """
    if isinstance(value, SwingSetting):
        return value
    try:
        return read_swing(value if isinstance(value, str) else write_number(value))
    except TextError as trouble:
        raise OptionError(f"is wrong: {trouble.message} ({trouble.hint})") from None


class Line(Kind):
    """The string that should carry a line: ``4``, ``4:down``, ``1:up`` or ``auto``."""

    metavar = "STRING[:down|:up]"

    def convert(self, value: object) -> LineTarget:
        """Return the line's target."""
        if isinstance(value, LineTarget):
            return value
        string, _, direction = str(value).partition(":")
        if value == "auto":
            return LineTarget()
        known = {str(number) for number in range(1, MAX_STRINGS + 1)}
        if string not in known or direction not in {"", "down", "up"}:
            refuse("STRING[:down|:up] or auto", str(value))
        return LineTarget(int(string), direction or None)

    def check(self, value: Any) -> None:
        """Raise unless the value is a line's target."""
        if not isinstance(value, LineTarget):
            refuse("a line's target", value)


@dataclass(frozen=True, slots=True)
class Span(Kind):
    """A span of bars or frets, first and last, from ``low`` on: ``5-8``, or ``5`` alone."""

    low: int = 1
    high: int | None = None
    metavar: str = "FIRST-LAST"

    @property
    def rule(self) -> str:
        """What is allowed, in words."""
        end = "" if self.high is None else f" to {self.high}"
        return f"{self.metavar} counted from {self.low}{end}, such as {self.low}-{self.low + 3}"

    def convert(self, value: object) -> tuple[int, int]:
        """Return first and last."""
        first, _, last = str(value).replace("–", "-").partition("-")
        try:
            span = (int(first), int(last or first))
            self.check(span)
        except ValueError:  # OptionError is one
            refuse(self.rule, value)
        return span

    def check(self, value: Any) -> None:
        """Raise unless the span rises and lies in the range."""
        if not isinstance(value, tuple) or [type(end) for end in value] != [int, int]:
            refuse(self.rule, value)
        if not self.low <= value[0] <= value[1] or not (self.high is None or value[1] <= self.high):
            refuse(self.rule, f"{value[0]}-{value[1]}")


class HandProfile(Kind):
    """A hand profile: its name, or the path of a TOML file."""

    metavar = "HAND"

    def read(self, text: str) -> str:
        """Return the name or path itself; its file is read when the choices are made."""
        return text

    def fields(self, name: str, value: Any) -> dict[str, Any]:
        """Return the profile, read from its file where it has no name of ours."""
        from porchswing.grips.shapes.hand import load_ease

        return {name: load_ease(value) if isinstance(value, str) else value}

    def convert(self, value: object) -> Any:
        """Return a named profile; a course names no files outside itself."""
        from porchswing.grips.shapes.hand import EASES

        if not isinstance(value, str) or value not in EASES:
            refuse(f"one of {', '.join(EASES)}", value)
        return EASES[value]
