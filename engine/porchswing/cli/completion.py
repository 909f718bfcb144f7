"""Words that a shell completes for the options of a take: patterns, tunings, swaps, choices."""

from __future__ import annotations

from porchswing.option_kinds import Kind, OneOf, Several


def words_for(field: str, kind: Kind) -> tuple[str, ...]:
    """Return the words an option may have, empty where any text or number may stand."""
    item = kind.item if isinstance(kind, Several) else kind
    if isinstance(item, OneOf):
        return tuple(map(str, item.words))
    if field in ("strum", "bass", "drums"):
        from porchswing.rhythm.patterns import pattern_names

        return tuple(pattern_names(field))
    if field == "tuning":
        from porchswing.grips.shapes.tunings import ROWS

        return tuple(row[0] for row in ROWS)
    if field in ("use", "avoid"):
        from porchswing.harmony.swaps.catalogue import SWAPS

        return tuple(row.name for row in SWAPS)
    return ()
