"""Kinds of option value the chart language shares: a swing, a span of bars, a line."""

from __future__ import annotations

from typing import Any

import click

from porchswing.chart.model import LineTarget, SwingSetting
from porchswing.choices import key_named, line_target, swing_setting
from porchswing.errors import OptionError


class SwingType(click.ParamType[SwingSetting]):
    """A swing as charts write it: ``2``, ``2:1``, ``66%``, ``straight`` or ``auto``."""

    name = "swing"

    def convert(self, value: Any, param: Any, ctx: Any) -> SwingSetting:
        """Read the text, or fail with the reader's own message."""
        try:
            return swing_setting(value)
        except OptionError as error:
            self.fail(str(error), param, ctx)


class KeyType(click.ParamType[str]):
    """A key as charts write it: ``Bb``, ``G minor``."""

    name = "key"

    def convert(self, value: Any, param: Any, ctx: Any) -> str:
        """Return the key's canonical text, or fail with what a key looks like."""
        try:
            return str(key_named(str(value)))
        except OptionError as error:
            self.fail(str(error), param, ctx)


class BarsType(click.ParamType[tuple[int, int]]):
    """A span of bars, ``5-8`` or ``5``, counted from 1."""

    name = "bars"

    def convert(self, value: Any, param: Any, ctx: Any) -> tuple[int, int]:
        """Read ``FIRST-LAST`` or one bar."""
        if isinstance(value, tuple):
            return value
        first, _, last = str(value).partition("-")
        try:
            span = (int(first), int(last or first))
        except ValueError:
            span = (0, 0)
        if not 1 <= span[0] <= span[1]:
            self.fail(f"bars are FIRST-LAST counted from 1, such as 1-4, got {value!r}", param, ctx)
        return span


class LineType(click.ParamType[LineTarget]):
    """The string that should carry a line: ``4``, ``4:down``, ``1:up`` or ``auto``."""

    name = "line"

    def convert(self, value: Any, param: Any, ctx: Any) -> LineTarget:
        """Read ``STRING[:down|:up]`` or ``auto``."""
        if isinstance(value, LineTarget):
            return value
        try:
            return line_target(str(value))
        except OptionError as error:
            self.fail(str(error), param, ctx)
