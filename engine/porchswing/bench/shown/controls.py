"""The page's live controls as a take's choices."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from porchswing.option_kinds import swing_setting
from porchswing.options import BandStyle, Choices

_STYLE = ("strum", "bass", "drums")
_CHOICES = ("lane", "depth", "key", "grips", "max_fret", "left_handed")


def choices_of(controls: Mapping[str, Any]) -> Choices:
    """Return the choices for what the controls say; what they leave out stays the chart's.

    ``tempo`` counts felt beats a minute, ``swing`` is a ratio or a text as charts write it.

    >>> choices_of({"depth": 3, "tempo": 92, "swing": 1.5}).style.tempo_bpm
    92.0
    """
    style: dict[str, Any] = {name: controls[name] for name in _STYLE if controls.get(name)}
    if controls.get("tempo") is not None:
        style["tempo_bpm"] = float(controls["tempo"])
    if controls.get("swing") is not None:
        style["swing"] = swing_setting(controls["swing"])
    own = {name: controls[name] for name in _CHOICES if controls.get(name) is not None}
    return Choices(style=BandStyle(**style), **own)
