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

from porchswing.errors import OptionError, near_hint

VARIABLE = "PORCHSWING_CONFIG"


def config_path() -> Path:
    """Return where the file of defaults is, or would be."""
    named = os.environ.get(VARIABLE)
    return Path(named) if named else Path(click.get_app_dir("porchswing")) / "config.toml"


def config_defaults() -> dict[str, Any]:
    """Return the defaults of the file by field of the options' table; none without a file."""
    path = config_path()
    if not path.is_file():
        return {}
    from porchswing.options import OPTIONS

    try:
        table = tomllib.loads(path.read_text("utf-8"))
    except (OSError, ValueError) as error:
        raise click.ClickException(f"cannot read {path}: {error}") from error
    rows, found = {row.key: row for row in OPTIONS}, {}
    for key, value in table.items():
        if key not in rows:
            raise click.ClickException(f"{path}: unknown option {key!r}{near_hint(key, rows)}")
        try:
            rows[key].kind.convert(value)
        except OptionError as error:
            raise click.ClickException(f"{path}: {key} {error}") from error
        words = value if isinstance(value, list) else [value]
        is_list = rows[key].kind.is_list
        found[rows[key].field] = [str(word) for word in words] if is_list else value
    return found
