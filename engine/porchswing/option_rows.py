"""A row of the table of options: a field of a record, with everything about it.

A row is made where its field is declared (see :mod:`porchswing.options`), so that default, kind and
help are written once; :func:`rows_of` reads a record's rows back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from typing import Any

from porchswing.errors import OptionError
from porchswing.option_kinds import Kind

KIND = "kind"
"""Key of a field's kind in its metadata; ``option`` holds the rest of a row."""


@dataclass(frozen=True, slots=True)
class Option:
    """One choice: the ``field`` it sets of a ``record``, and everything about it.

    ``flag`` is what is typed, ``key`` what a course writes (the flag without its dashes).
    """

    record: str
    field: str
    flag: str
    kind: Kind
    default: Any
    help: str
    heading: str
    acts_on: str
    in_course: bool

    @property
    def key(self) -> str:
        """The key a course writes."""
        return self.flag.removeprefix("--")


def option_row(
    default: Any,
    kind: Kind,
    flag: str,
    help: str,
    heading: str,
    acts_on: str,
    *,
    in_course: bool = True,
) -> Any:
    """Return the field of a record that is an option too."""
    about = {
        "flag": flag,
        "help": help,
        "heading": heading,
        "acts_on": acts_on,
        "in_course": in_course,
    }
    return field(default=default, metadata={KIND: kind, "option": about})


def checked_field(default: Any, kind: Kind) -> Any:
    """Return a field that is checked but set by no option of its own."""
    return field(default=default, metadata={KIND: kind})


def check_record(record: Any) -> None:
    """Check every field of a record once; the error gives the field, what is allowed, the value."""
    for each in fields(record):
        kind, value = each.metadata.get(KIND), getattr(record, each.name)
        if kind is None or value is None:
            continue
        if kind.is_list and isinstance(value, str):  # one name may be given by itself
            value = (value,)
            object.__setattr__(record, each.name, value)
        try:
            kind.check(value)
        except OptionError as error:
            raise OptionError(f"{each.name} {error}") from None


def rows_of(record: str, owner: type[Any]) -> Iterator[Option]:
    """Yield the rows of a record, in order; ``record`` is its field of the choices, or empty."""
    for each in fields(owner):
        about = each.metadata.get("option")
        if about is not None:
            yield Option(record, each.name, kind=each.metadata[KIND], default=each.default, **about)
