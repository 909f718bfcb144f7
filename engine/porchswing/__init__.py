"""porchswing: from one text chart to swing grips, backing tracks, drills and handouts.

The public surface, a straight line from text to files::

    import porchswing as ps
    chart = ps.read_chart("demos/lantern_street_stroll.changes")
    lead  = ps.reharmonize(chart, depth=2)
    grips = ps.voice(lead, tuning="gCEA", line=4)
    take  = ps.arrange(lead, grips, tempo=92, swing="auto", without=["chords"])
    take.write_midi("slow.mid"); take.write_audio("slow.wav")

Names are loaded when first used, so that importing the package costs almost nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOME = {
    "PorchswingError": "porchswing.errors",
    "ChartError": "porchswing.errors",
    "read_chart": "porchswing.chart.language.reader",
    "parse_chart": "porchswing.chart.language.reader",
    "write_chart": "porchswing.chart.language.writer",
    "unroll": "porchswing.chart.unroll",
    "transpose": "porchswing.chart.transpose",
    "parse_chord": "porchswing.theory.symbols",
    "reharmonize": "porchswing.harmony.choice.reharmonize",
    "voice": "porchswing.grips.search.voice",
    "name_grip": "porchswing.grips.names.naming",
    "arrange": "porchswing.take",
    "Take": "porchswing.take",
    "take_from_chart": "porchswing.take",
    "BandStyle": "porchswing.options",
    "Choices": "porchswing.options",
}

__all__ = ["__version__", *_HOME]


def __getattr__(name: str) -> Any:
    """Load a public name from its home module when first asked for."""
    if name not in _HOME:
        raise AttributeError(f"module 'porchswing' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
