"""The click parameter type of a kind of option value."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import click

from porchswing.errors import PorchswingError
from porchswing.file_formats import ALL
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
            self.fail(str(error).removeprefix("is wrong: "), param, ctx)


class OutPath(click.Path):
    """A file or a folder to write; a name that ends like both is refused.

    ``-``, standard output, is refused too unless ``standard`` allows it.
    """

    def __init__(self, *, file_okay: bool = True, standard: bool = False) -> None:
        super().__init__(path_type=Path, file_okay=file_okay)
        self.standard = standard

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the path, or fail where a recording's name ends in a slash."""
        path = Path(str(super().convert(value, param, ctx)))
        if value == "-" and not self.standard:
            self.fail("several files cannot go to standard output: name a folder", param, ctx)
        suffix = path.suffix.lower()
        is_folder = isinstance(value, str) and value.endswith(("/", os.sep))
        if is_folder and suffix.removeprefix(".") in ALL and not path.is_dir():
            self.fail(f"{value} ends in / like a folder and in {suffix} like a file", param, ctx)
        return path
