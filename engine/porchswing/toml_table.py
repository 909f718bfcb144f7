"""One table of a TOML file with its key path, so that every error says where it is.

Courses, patterns and hand profiles are read by it. ``tomllib`` keeps no line numbers: an error
names the file and the key path, ``term.toml: tune[0].tempos[1] must be …``.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from porchswing.errors import PorchswingError, cannot_read, near_hint, near_word

MAX_LIST = 200
"""Most items of one list."""

MAX_TEXT = 1000
"""Longest text, in characters."""


@dataclass(frozen=True, slots=True)
class TomlTable:
    """One table: its ``values``, the ``file`` and the key ``path`` it has there.

    ``path`` ends in a dot, or is empty at the top; ``error`` is what :meth:`fail` raises.
    """

    file: str
    values: Mapping[str, Any]
    error: type[PorchswingError] = PorchswingError
    path: str = ""

    def fail(self, key: str, message: str) -> NoReturn:
        """Raise the error that names the file, a key of this table and what is wrong there."""
        raise self.error(f"{self.file}: {self.path}{key} {message}")

    def allow_only(self, known: Iterable[str]) -> None:
        """Raise for an unknown key, with the nearest known one."""
        known = tuple(known)
        for key in self.values:
            if key not in known:
                unknown = f"unknown key {f'{self.path}{key[:60]}'!r}"
                raise self.error(f"{self.file}: {unknown}; {near_or_all(key, known)}")

    def table(self, key: str) -> TomlTable:
        """Return the table under a key, an empty one where it is missing."""
        value = self.values.get(key, {})
        if not isinstance(value, dict):
            self.fail(key, f"must be a table, got {short(value)}")
        return TomlTable(self.file, value, self.error, f"{self.path}{key}.")

    def tables(self, key: str, most: int = MAX_LIST) -> tuple[TomlTable, ...]:
        """Return the tables of an array that must hold at least one."""
        value = self.values.get(key)
        if not isinstance(value, list) or not value:
            self.fail(key, f"must be a list of tables: write [[{key}]] at least once")
        if len(value) > most:
            self.fail(key, f"must be at most {most} tables, got {len(value)}")
        for index, row in enumerate(value):
            if not isinstance(row, dict):
                self.fail(f"{key}[{index}]", f"must be a table, got {short(row)}")
        return tuple(
            TomlTable(self.file, row, self.error, f"{self.path}{key}[{index}].")
            for index, row in enumerate(value)
        )

    def text(self, key: str, default: str | None = None) -> str:
        """Return a text; required where no default is given."""
        value = self.values.get(key, default)
        if value is None:
            self.fail(key, "is missing")
        if not isinstance(value, str) or not value.strip() or len(value) > MAX_TEXT:
            self.fail(key, f"must be a text, got {short(value)}")
        return value

    def choice(self, key: str, default: str | None, choices: Iterable[str]) -> str:
        """Return a word that must be one of ``choices``; required where no default is given."""
        value, choices = self.text(key, default), tuple(choices)
        if value not in choices:
            self.fail(key, f"must be one of {', '.join(choices)}, got {value!r}")
        return value

    def number(
        self,
        key: str,
        low: float,
        high: float,
        default: float | None = None,
        *,
        whole: bool = False,
    ) -> float:
        """Return a number from ``low`` to ``high``; required where no default is given."""
        value = self.values.get(key, default)
        if value is None:
            self.fail(key, "is missing")
        kind = int if whole else int | float
        if isinstance(value, bool) or not isinstance(value, kind) or not low <= value <= high:
            word = "a whole number" if whole else "a number"
            self.fail(key, f"must be {word} from {low:g} to {high:g}, got {short(value)}")
        return int(value) if whole else float(value)

    def flag(self, key: str, default: bool | None = None) -> bool:
        """Return true or false; required where no default is given."""
        value = self.values.get(key, default)
        if not isinstance(value, bool):
            self.fail(key, f"must be true or false, got {short(value)}")
        return value

    def items(self, key: str) -> list[Any]:
        """Return a list of at least one item."""
        value = self.values.get(key)
        if value is None:
            self.fail(key, f"is missing{near_hint(key, self.values)}")
        if not isinstance(value, list) or not 1 <= len(value) <= MAX_LIST:
            alone = isinstance(value, str | int | float)
            hint = f"; write [{json.dumps(value, ensure_ascii=False)}]" if alone else ""
            self.fail(key, f"must be a list of 1 to {MAX_LIST}, got {short(value)}{hint}")
        return list(value)

    def texts(self, key: str) -> tuple[str, ...]:
        """Return the texts of a list, each once."""
        values = self.items(key)
        for index, value in enumerate(values):
            if not isinstance(value, str) or not value.strip() or "\0" in value:
                self.fail(f"{key}[{index}]", f"must be a text, got {short(value)}")
        return tuple(dict.fromkeys(values))


def read_toml(path: Path, what: str, most_bytes: int, error: type[PorchswingError]) -> str:
    """Return the text of a file of TOML that names charts, no more than ``what`` may have."""
    if path.suffix == ".changes":
        raise error(f"{path} is a chart; {what} is a TOML file that names charts")
    try:
        with path.open("rb") as stream:
            return stream.read(most_bytes + 1).decode("utf-8")
    except (OSError, ValueError) as trouble:  # ValueError: not UTF-8, or a name that is no path
        raise error(cannot_read("", path, trouble)) from trouble


def top_table(
    text: str, file: str, what: str, most_bytes: int, error: type[PorchswingError]
) -> TomlTable:
    """Return the table at the top of a text, refused where it is longer than ``what`` may be."""
    if len(text.encode("utf-8", "surrogatepass")) > most_bytes:
        raise error(f"{file}: {what} is at most {most_bytes} bytes")
    return TomlTable(file, toml_values(text, file, error), error)


def toml_values(text: str, file: str, error: type[PorchswingError]) -> dict[str, Any]:
    """Return the values of TOML text; ``file`` is its name in errors."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as trouble:  # too deep or too long a number, too
        raise error(f"{file}: not TOML: {trouble}{_quotes_hint(text, str(trouble))}") from trouble


def _quotes_hint(text: str, trouble: str) -> str:
    """Return a hint where a line lacks the quotes of TOML or has printed ones."""
    found = re.search("at line ([0-9]+)", trouble)
    line = text.split("\n")[int(found[1]) - 1] if found else ""
    if any(sign in line for sign in "“”„«»‘’"):
        return '; the quotes of TOML are straight: "F"'
    return '; a text stands in quotes: "F"' if "Invalid value" in trouble else ""


def near_or_all(wanted: str, known: Iterable[str]) -> str:
    """Return the nearest known word as a question, or all of them."""
    known = tuple(known)
    near = near_word(wanted, known)
    return f"did you mean {near!r}?" if near else f"known: {', '.join(known)}"


def short(value: object) -> str:
    """Return how an error shows a value: as Python writes it, cut where it is long."""
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
