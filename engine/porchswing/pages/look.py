"""The look our pages share, as one small style sheet."""

from __future__ import annotations

from importlib import resources


def look_css() -> str:
    """Return the custom properties (colours, type) that every page of ours is drawn with."""
    return resources.files(__package__).joinpath("look.css").read_text("utf-8")
