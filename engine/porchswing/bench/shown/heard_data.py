"""What the page plays: the tune in both lanes, or a few bars with one offer beside what is there.

The notes are those of :mod:`porchswing.take`, so what is heard is what ``render`` writes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from porchswing.bench.shown.board_data import edit_row
from porchswing.bench.shown.sound_bank import SoundBank
from porchswing.bench.shown.tune_reading import (
    LaneReading,
    choices_of,
    for_the_lead,
    lane_of_text,
    lead_of_text,
    read_text,
)
from porchswing.chart.model import LANES, Place
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import LAST_TIME
from porchswing.errors import OptionError
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.shapes.model import Grip
from porchswing.offered.bar_text import apply_edits
from porchswing.offered.choosing import PlaceOffer, choice_edits
from porchswing.offered.offering import explain, offers
from porchswing.options import Choices
from porchswing.pages.practice.page_data import tune_data
from porchswing.pages.practice.page_lane import PageLane
from porchswing.take import take_along
from porchswing.theory.notes import with_signs

BARS_BEFORE, BARS_AFTER = 2, 1
"""How much of the tune is heard around an offer."""

NOW, OFFERED = "now", "offer"
"""Names of the two lanes in which an offer is heard."""


def heard_tune(text: str, controls: Mapping[str, Any], bank: SoundBank) -> dict[str, Any]:
    """Return the tune in both lanes as the page's player reads it."""
    choices = choices_of(controls)
    lanes = []
    for lane in sorted(LANES, key=lambda name: name != choices.lane):
        own = replace(choices, lane=lane)
        reading = lane_of_text(text, own)
        if reading.voicing is not None:
            lanes.append(_page_lane(lane, reading, reading.roadmap, own))
    if not lanes:
        raise OptionError(lane_of_text(text, choices).trouble)
    data = tune_data(lane_of_text(text, choices).chart, lanes, bank.strip(lanes))
    return {"tune": data, "sounds": len(bank)}


def heard_offer(
    text: str, place: Place, kind: str, number: int, controls: Mapping[str, Any], bank: SoundBank
) -> dict[str, Any]:
    """Return the bars around a place, as they are and with one offer, as the player reads them."""
    choices = choices_of(controls)
    offer = offers_at(text, place, kind, choices)[number]
    new = apply_edits(text, choice_edits(text, place, offer, choices))
    own = replace(choices, style=replace(choices.style, loop=True, count_in_bars=0))
    lanes = []
    for name, source in ((NOW, text), (OFFERED, new)):
        reading = lane_of_text(source, choices)
        lanes.append(_page_lane(name, reading, bars_around(reading.roadmap, place), own))
    strip = bank.strip(lanes, is_balanced=True)
    return {"tune": tune_data(lane_of_text(text, choices).chart, lanes, strip), "sounds": len(bank)}


def _page_lane(name: str, reading: LaneReading, road: Roadmap, choices: Choices) -> PageLane:
    if reading.voicing is None:
        raise OptionError(reading.trouble)
    take = take_along(reading.chart, road, reading.voicing, choices)
    return PageLane(name, road, reading.voicing, take.score, take.performance)


def bars_around(roadmap: Roadmap, place: Place) -> Roadmap:
    """Return the bars around the first time a place is played, counted from beat 0."""
    section, bar, _ = place
    played = {(each.section, each.bar): n for n, each in reversed([*enumerate(roadmap.bars)])}
    here = played.get((section, bar), played.get((section + LAST_TIME, bar)))
    if here is None:
        raise OptionError(f"bar {bar} of section {section} is never played: it is not in the form")
    bars = roadmap.bars[max(0, here - BARS_BEFORE) : here + 1 + BARS_AFTER]
    start = bars[0].start_beats
    moved = (replace(e, start_beats=e.start_beats - start, role="form", chorus=1) for e in bars)
    return replace(roadmap, bars=tuple(moved))


@lru_cache(maxsize=16)
def offers_at(text: str, place: Place, kind: str, choices: Choices) -> tuple[PlaceOffer, ...]:
    """Return the offers for a place of a text."""
    return offers(read_text(text), place, kind, choices)


def offer_list(text: str, place: Place, kind: str, controls: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is played at a place and what could be, for the page's tray."""
    choices = choices_of(controls)
    reading = lane_of_text(text, choices)
    lead = lead_of_text(text, replace(for_the_lead(choices), key=None))
    words = explain(read_text(text), place, choices, lead, reading.voicing)
    return {
        "chord": with_signs(words.chord),
        "numeral": with_signs(words.numeral),
        "plain": [with_signs(symbol) for symbol in words.plain],
        "writes": words.writes,
        "why": [
            {"name": swap.name, "reason": swap.reason, "listen": swap.listen}
            for swap in words.swaps
        ],
        "offers": [_offer_row(offer, reading) for offer in offers_at(text, place, kind, choices)],
    }


def _offer_row(offer: PlaceOffer, reading: LaneReading) -> dict[str, Any]:
    tuning = reading.voicing.tuning if reading.voicing is not None else None
    return {
        "kind": offer.kind,
        "name": offer.name,
        "reason": offer.reason,
        "bars": [[each.bar, [with_signs(s) for s in each.symbols]] for each in offer.bars],
        "depth": offer.depth,
        "stays": [with_signs(note) for note in offer.stays],
        "melody": offer.melody,
        "fits": offer.fits,
        "drawn": grip_svg(Grip(offer.held, tuning)) if offer.held and tuning else "",
        "before": offer.before,
        "after": offer.after,
        "before_ms": offer.before_ms,
        "after_ms": offer.after_ms,
        "marks": list(offer.marks),
        "now": offer.is_now,
    }


def chosen(
    text: str, place: Place, kind: str, number: int, controls: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the edits of the text that take an offer."""
    choices = choices_of(controls)
    offer = offers_at(text, place, kind, choices)[number]
    edits = choice_edits(text, place, offer, choices)
    is_new_lane = choices.lane == "swing" and read_text(text).section(place[0]).swing is None
    return {
        "edits": [edit_row(text, edit) for edit in edits],
        "new_lane": place[0] if is_new_lane and edits else None,
    }
