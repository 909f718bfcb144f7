"""Which bass and drums belong to a strum: every strum has a row, and parts share its feel."""

from __future__ import annotations

import pytest

from porchswing.band.bass.bass_part import bass_part, load_bass_style
from porchswing.band.drumming.drum_part import drums_part, load_drum_groove
from porchswing.band.rhythm_section import companion_rows, companions_of
from porchswing.chart.model import Meter
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import pattern_digests, pattern_names
from porchswing.rhythm.strum import load_strum
from support import made

LOAD = {"bass": load_bass_style, "drums": load_drum_groove}
STRUMS = pattern_names("strum")


def test_every_named_pattern_exists_and_every_named_strum_too():
    for row in companion_rows():
        assert set(row.strums) <= set(STRUMS)
        for part, lifts in row.lifts.items():
            assert set(lifts) <= set(pattern_names(part))


@pytest.mark.parametrize("name", STRUMS)
def test_bass_and_drums_share_the_meter_and_the_feel_of_their_strum(name):
    strum = load_strum(name)
    row = companions_of(strum, strum.meter)
    for part, lifts in row.lifts.items():
        for chosen in lifts:
            pattern = LOAD[part](chosen)
            assert pattern.feel == strum.feel
            # twelve-eight has no patterns of its own: six-eight, twice
            assert pattern.meter == strum.meter or strum.meter == Meter(12, 8)


@pytest.mark.parametrize("meter", ["5/4", "7/8", "12/8"])
def test_a_meter_without_patterns_still_has_companions(meter):
    count, unit = (int(number) for number in meter.split("/"))
    row = companions_of(load_strum("four"), Meter(count, unit))
    assert row.meter == f"n/{unit}"


@pytest.mark.parametrize("tempo", [60, 140])
@pytest.mark.parametrize(
    ("strum", "meter", "kind"),
    [("bossa", "4/4", "bossa"), ("waltz", "3/4", "waltz"), ("six_eight", "6/8", "six_eight"),
     ("island", "4/4", "even"), ("polka", "2/4", "even"), ("waltz_picked", "3/4", "even")],
)  # fmt: skip
def test_a_strum_brings_its_own_band_in_every_section_and_lift(strum, meter, kind, tempo):
    text = (
        f"title: T\nkey: C\nmeter: {meter}\ntempo: {tempo}\nstrum: {strum}\nform: A B A\n"
        "[A]\n| C | F |\n[B]\n| G7 | C |\n"
    )
    roadmap = made.unroll(made.parse_chart(text), lane="plain", choruses=2)
    played = bass_part(roadmap, BandStyle()).patterns + drums_part(roadmap, BandStyle()).patterns
    names = [name.partition("/")[2] for name in played if "/" in name]
    assert names
    assert all(kind in name for name in names)


def test_a_chart_overrides_its_companions():
    text = "title: T\nkey: C\nstrum: bossa\nbass: walk\ndrums: ride\n[A]\n| C | F |\n"
    roadmap = made.unroll(made.parse_chart(text), lane="plain")
    assert "bass/walk" in bass_part(roadmap, BandStyle()).patterns
    assert "drums/ride" in drums_part(roadmap, BandStyle()).patterns


def test_the_table_counts_among_what_an_output_is_made_from():
    assert len(pattern_digests()["companions"]) == 64
