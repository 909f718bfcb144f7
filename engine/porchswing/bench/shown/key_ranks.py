"""The tune in other keys: how well it lies in each, and the chart rewritten in one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from porchswing.bench.shown.tune_reading import choices_of, lane_of_text, read_text
from porchswing.chart.language.writer import write_chart
from porchswing.chart.transpose import transpose
from porchswing.grips.search.best_key import rank_keys
from porchswing.theory.notes import with_signs


def ranked_keys(text: str, controls: Mapping[str, Any]) -> dict[str, Any]:
    """Return the twelve keys, the one that lies best first, with the work beside this key's."""
    choices = replace(choices_of(controls), key=None)
    reading = lane_of_text(text, choices)
    ranks = rank_keys(
        reading.chart,
        lane=choices.lane,
        grips=choices.grips,
        max_fret=choices.max_fret,
    )
    own = next((r.cost for r in ranks if r.key.tonic.pc == reading.chart.key.tonic.pc), None)
    return {
        "keys": [
            {
                "key": str(rank.key),
                "shown": with_signs(str(rank.key)),
                "share": round(rank.cost / own, 3) if rank.cost is not None and own else None,
                "trouble": "; ".join(filter(None, (rank.trouble, rank.unsung))),
            }
            for rank in ranks
        ]
    }


def transposed(text: str, key: str) -> dict[str, Any]:
    """Return the chart's text in another key."""
    return {"text": write_chart(transpose(read_text(text), key))}
