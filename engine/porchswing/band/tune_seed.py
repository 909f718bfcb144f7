"""The seed of one tune: every tune has a band of its own, whatever its chords and key.

The scope is the title and the sections, never chords, lane, key or tempo, so that two versions of
one tune are played by the same hands and can be compared.
"""

from __future__ import annotations

import hashlib

from porchswing.chart.language.values import MAX_SEED
from porchswing.chart.roadmap import Roadmap


def tune_seed(roadmap: Roadmap, seed: int | None) -> int:
    """Return the seed of a take from the tune's title, its section names and the seed asked for."""
    sections = dict.fromkeys((bar.role, bar.section) for bar in roadmap.bars)
    scope = repr((seed or 0, roadmap.title, tuple(sections)))
    return int.from_bytes(hashlib.sha256(scope.encode()).digest()[:4]) & MAX_SEED
