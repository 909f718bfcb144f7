"""Your own defaults: a file ``config.toml`` where the platform keeps such files.

On Linux ``~/.config/porchswing/config.toml``, on macOS below ``~/Library/Application Support``, on
Windows below ``%APPDATA%``; the variable ``PORCHSWING_CONFIG`` names another. Its keys are the
options of a take without their dashes, ``tuning = "dGBE"``; what is typed overrides them, and a
command ignores those it does not take. Courses have defaults of their own.
"""

from __future__ import annotations

import os
import tomllib
from pathlib import Path
from typing import Any

import click

from porchswing.errors import OptionError

VARIABLE = "PORCHSWING_CONFIG"


def config_path() -> Path:
    """Return where the file of defaults is, or would be."""
    named = os.environ.get(VARIABLE)
    return Path(named) if named else Path(click.get_app_dir("porchswing")) / "config.toml"


def config_defaults() -> dict[str, Any]:
    """Return the defaults of the file by field of the options' table; none without a file."""
    from porchswing.options import OPTIONS

    path = config_path()
    if not path.is_file():
        return {}
    try:
        table = tomllib.loads(path.read_text("utf-8"))
    except (OSError, ValueError) as error:
        raise OptionError(f"cannot read {path}: {error}") from error
    fields = {row.flag.removeprefix("--"): row for row in OPTIONS}
    found: dict[str, Any] = {}
    for key, value in table.items():
        if key not in fields:
            from difflib import get_close_matches

            near = get_close_matches(key, fields, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise OptionError(f"{path}: unknown option {key!r}{hint}")
        row = fields[key]
        try:
            row.kind.convert(value)
        except OptionError as error:
            raise OptionError(f"{path}: {key} {error}") from error
        words = value if isinstance(value, list) else [value]
        found[row.field] = [str(word) for word in words] if row.kind.is_list else value
    return found
