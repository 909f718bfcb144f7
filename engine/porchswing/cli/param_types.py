"""The click parameter type of a kind of option value."""

from __future__ import annotations

from typing import Any

import click

from porchswing.errors import PorchswingError
from porchswing.option_kinds import Kind


class KindType(click.ParamType[Any]):
    """Read a value as its :class:`~porchswing.option_kinds.Kind` does; what it refuses is usage."""

    name = "value"

    def __init__(self, kind: Kind) -> None:
        self.kind = kind

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the value a text stands for, or fail with the kind's own message."""
        if not isinstance(value, str):
            return value
        try:
            return self.kind.read(value)
        except PorchswingError as error:
            self.fail(str(error), param, ctx)
