"""The options that a table of TOML may set, by their key: courses and set lists read them alike."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from porchswing.errors import OptionError
from porchswing.option_rows import Option
from porchswing.options import OPTIONS, Choices
from porchswing.toml_table import TomlTable

OPTION_ROWS: dict[str, Option] = {row.key: row for row in OPTIONS if row.in_course}
"""The options that a table may set by their key."""


def choices_of(
    row: TomlTable, defaults: Choices, rows: Mapping[str, Option] = OPTION_ROWS
) -> Choices:
    """Return the choices that a table states by the keys of some rows, over the defaults."""
    chosen: dict[str, Any] = {}
    for key, option in rows.items():
        if key in row.values:
            try:
                chosen[option.field] = option.kind.convert(row.values[key])
            except (OptionError, OverflowError) as error:
                row.fail(key, str(error))
    return defaults.with_values(chosen)
