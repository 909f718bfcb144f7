"""What holds for any chart: lengths, preconditions in the finished lane, keys, the way back.

The preconditions are written here anew, from the examples of the trade (common practice), and
are checked on the finished lane in playing order, over every seam of the form.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import unroll
from porchswing.harmony.analysis.review import review
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.harmony.choice.reharmonize import reharmonize, swing_lane
from porchswing.harmony.passage import steps
from porchswing.harmony.passage.steps import Need
from porchswing.harmony.swaps import formulas, functions, passing, substitutions, turnarounds
from porchswing.harmony.swaps.catalogue import SWAPS, rows_for
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord
from support.form_types import FORM_TYPES
from support.strategies import charts, tunes


def falls(first: Chord, second: Chord) -> int:
    return (first.root.pc - second.root.pc) % 12


def by(first: Chord, second: Chord | None, semitones: int) -> bool:
    return second is not None and falls(first, second) == semitones


def fifths(chords: list[Chord | None]) -> bool:
    """Whether each chord falls a fifth, or a semitone where one gave way to its tritone.

    A dominant may go on in its own diminished chord, on its third.
    """

    def leads(a: Chord | None, b: Chord | None) -> bool:
        if a is None or b is None:
            return False
        return falls(a, b) in (7, 1) or (falls(a, b) == 8 and b.quality.family == "diminished")

    return all(leads(a, b) for a, b in pairwise(chords))


# row -> what must hold: chords before the swap's own, the swap's own, the chord after them
Rule = Callable[[Chord | None, list[Chord], list[Chord], Chord | None], bool]
RULES: dict[str, Rule] = {
    "tritone substitution": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) == 1 and falls(old[-1], after) == 7
    ),
    "related ii": lambda b, old, new, after: (
        new[-2].quality.suffix in ("m7", "m7b5")
        and falls(new[-2], old[-1]) == 7
        and not (
            b is not None
            and b.root.pc == new[-2].root.pc
            and b.quality.family == "minor"
            and len(new) == 2
        )
    ),
    "secondary dominant": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) == 7 and new[0].root == old[0].root
    ),
    "I7 into IV": lambda b, old, new, after: after is not None and falls(new[-1], after) == 7,
    "passing diminished up": lambda b, old, new, after: (
        after is not None and falls(new[-1], new[0]) == 1 and falls(new[-1], after) == 11
    ),
    "♯IV° to I": lambda b, old, new, after: (
        after is not None and falls(new[-1], new[0]) == 1 and falls(new[-1], after) == 6
    ),
    "passing diminished down": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) == 1 and falls(new[0], new[-1]) == 1
    ),
    "minor iv": lambda b, old, new, after: after is not None and falls(new[-1], after) == 5,
    "backdoor ♭VII7": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) == 10 and after.quality.family == "major"
    ),
    "rootless 7♭9 as diminished": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) == 11
    ),
    "extended dominant chain": lambda b, old, new, after: (
        after is not None
        and falls(new[-1], after) in (7, 1)
        and all(chord.quality.family == "dominant" for chord in new)
    ),
    "side-slip": lambda b, old, new, after: after is not None and falls(new[-1], after) == 1,
    "minor line cliché": lambda b, old, new, after: len({c.root.pc for c in new}) == 1,
    "major line cliché": lambda b, old, new, after: len({c.root.pc for c in new}) == 1,
    "diatonic substitution": lambda b, old, new, after: (
        after is not None and len(new[-1].pcs & old[0].pcs) >= 2
    ),
    "v7 I7 into IV": lambda b, old, new, after: fifths([*new[-2:], after]),
    "ii–V into the next chord": lambda b, old, new, after: fifths([*new[-2:], after]),
    "ii–V into another key": lambda b, old, new, after: fifths([new[-1], after]),
    "dominant for a minor chord": lambda b, old, new, after: fifths([new[-1], after]),
    "I ♭III° ii": lambda b, old, new, after: by(new[-1], after, 1),
    "I I° ii": lambda b, old, new, after: by(new[-1], after, 10) and by(new[0], new[-1], 0),
    "I I° I": lambda b, old, new, after: len({c.root.pc for c in new}) == 1,
    "climb to the cadence": lambda b, old, new, after: (
        by(new[0], new[1], 11) and by(new[1], new[2], 6) and fifths([new[-1], after])
    ),
    "I/5 before V": lambda b, old, new, after: (
        new[0].bass_note.pc == new[1].root.pc and fifths([new[-1], after])
    ),
    "ii–V for V–IV": lambda b, old, new, after: fifths([*new[-2:], after]),
    "♭VI7 before V7": lambda b, old, new, after: by(new[-1], after, 1),
    "♭VI7 V7 in minor": lambda b, old, new, after: (
        by(new[-1], after, 1) or (by(new[0], new[1], 1) and fifths([new[1], after]))
    ),
    "backdoor iv7 ♭VII7": lambda b, old, new, after: (
        fifths(new[-2:]) and by(new[-1], after, 10) and after.quality.family == "major"
    ),
    "iii VI7 into ii": lambda b, old, new, after: fifths([*new[-2:], after]),
    "iii ♭iii ii": lambda b, old, new, after: by(new[-2], new[-1], 1) and by(new[-1], after, 1),
    "deceptive iii": lambda b, old, new, after: (
        after is not None
        # to vi, ii or IV; the step down to ii may be filled by the diminished chord
        and (
            falls(new[0], after) in (7, 2, 11)
            or (by(new[0], after, 1) and after.quality.family == "diminished")
        )
    ),
    "I Imaj7 I7 into IV": lambda b, old, new, after: fifths([new[-1], after]),
    "5–♯5–6 line": lambda b, old, new, after: len({c.root.pc for c in new}) == 1,
    "I/3 into IV": lambda b, old, new, after: (
        after is not None and (after.root.pc - new[-1].bass_note.pc) % 12 == 1
    ),
    "bass walk-down to vi": lambda b, old, new, after: (
        after is not None and (new[-1].bass_note.pc - after.root.pc) % 12 == 2
    ),
    "ii over the dominant's bass": lambda b, old, new, after: (
        new[0].bass_note.pc == new[1].root.pc and fifths([new[1], after])
    ),
    "V sus before V": lambda b, old, new, after: fifths([new[-1], after]),
    "tonic pedal": lambda b, old, new, after: len({c.bass_note.pc for c in new}) == 1,
    "V of V before V": lambda b, old, new, after: fifths([new[0], new[1]]),
    "borrowed iiø": lambda b, old, new, after: by(new[-1], after, 7) or by(new[-1], after, 1),
    "minor descent to V": lambda b, old, new, after: by(new[-1], after, 1),
    "♯IV° to I/5": lambda b, old, new, after: (new[2].bass_note.pc - new[1].root.pc) % 12 == 1,
    "amen ending": lambda b, old, new, after: after is None,
    "home at the end": lambda b, old, new, after: after is None,
    "chromatic ii–V from above": lambda b, old, new, after: (
        after is not None and falls(new[-2], after) == 1
    ),
    "ii–V a tritone away": lambda b, old, new, after: by(new[-1], after, 1),
    "quick change": lambda b, old, new, after: falls(new[0], new[1]) == 7,
    "ending tag": lambda b, old, new, after: after is None and falls(new[-2], new[-1]) == 7,
}
TURNAROUND: Rule = lambda b, old, new, after: after is not None and falls(after, old[0]) == 0  # noqa: E731


def broken(lead: Lead) -> list[str]:
    """Return the structural swaps of a lead that do not hold in its finished lane."""
    played = unroll(lead.chart, lane="swing", choruses=3)
    slips = {
        (swap.section, swap.bar + swap.bars - 1) for swap in lead.swaps if swap.name == "side-slip"
    }
    rows: list[tuple[str, int, Fraction, Chord | None]] = []
    bare: list[tuple[str, int, Fraction, Chord | None]] = []
    for bar in played.bars:
        beat = Fraction(1)
        for place, slot in enumerate(bar.slots):
            row = (bar.section, bar.bar, beat, slot.chord)
            rows.append(row)
            if (bar.section, bar.bar) not in slips or place < len(bar.slots) - 1:
                bare.append(row)  # without the chord a side-slip puts in on the last beat
            beat += slot.beats / lead.chart.meter.unit_beats
    found = []
    for swap in lead.swaps:
        rule = TURNAROUND if swap.name.startswith("turnaround") else RULES.get(swap.name)
        lane = rows if swap.name == "side-slip" else bare
        if rule is None:
            continue
        chords = [row[3] for row in lane]
        held = [
            _holds(rule, swap, chords, place)
            for place in range(len(lane))
            if lane[place][:3] == (swap.section, swap.bar, swap.beat)
        ]
        # a turnaround leads home, and a key is prepared, on at least half of the ways out
        soft = rule is TURNAROUND or swap.name == "ii–V into another key"
        enough = 2 * sum(held) >= len(held) if soft else all(held)
        if not enough:
            found.append(f"{swap.name} {swap.before} {swap.after} in {swap.section} bar {swap.bar}")
    return found


def _holds(rule: Rule, swap: Swap, chords: list[Chord | None], place: int) -> bool:
    """Check one swap where it is played; what later swaps have covered is theirs to answer."""
    old = [parse_chord(name) for name in swap.before]
    new = [parse_chord(name) for name in swap.after]
    same_root = len(new) > 1 and len({chord.root.pc for chord in new}) == 1
    stop = place
    for chord in new:
        start = stop
        while stop < len(chords) and _same(chords[stop], chord):
            stop += 1
            if same_root and chord.quality.family == new[-1].quality.family:
                break
        if stop == start:
            return True
    before = chords[place - 1] if place else None
    after = chords[stop] if stop < len(chords) else None
    return rule(before, old, new, after)


def _same(played: Chord | None, chord: Chord) -> bool:
    """Whether a chord is there, whatever colour it took afterwards."""
    return (
        played is not None
        and played.root.pc == chord.root.pc
        and played.quality.family == chord.quality.family
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes(), st.integers(1, 4))
def test_every_swap_holds_in_the_finished_lane(chart: Chart, depth: int) -> None:
    assert broken(reharmonize(chart, depth)) == []


def test_nothing_leans_on_a_chord_that_only_slides_in() -> None:
    """Fm once became F7, then B7, because a side-slip had put a Bb7 behind it."""
    bars = "|: Em7 | C7 Em7 | Fm | A7 | Bb7 | F | Fm Dm7 | Em Dm7 :|"
    for tempo in (60, 96, 138):
        lead = reharmonize(parse_chart(f"key: C\ntempo: {tempo}\n[A]\n{bars}\n"), 4)
        assert broken(lead) == []
        third = lead.chart.section("A").lane("swing")[2].slots[0].chord
        assert third is not None
        assert str(third.root) == "F"


BROKE = {
    "IV of one key and I of another": (
        4,
        "key: A minor\ntempo: 60\n[A]\n| A7 Am7 | D7 | G | C |\n",
    ),
    "a section for the last time heard in another key": (
        4,
        """tempo: 60
form: A A
ending: B

[A]
plain | Bm7b5 Am | C6 | F | Em7 N.C. |
melody | A4:4 | E4:4 | D4:4 | C4:4 |
[B]
plain | G7 | B7 | G7 G | Dm |
melody | C#4:4 | Bb4:4 | F#4:4 | A4:4 |
""",
    ),
    "a flat nine in the tune whose dominant no longer falls a fifth": (
        3,
        """key: C
tempo: 96
form: A A A A

[A]
plain | C | C | F | Fm | C | G7 |
melody | F4:4 | C#4:4 | D4:4 | B4:4 | Bb4:4 | F#4:4 |
""",
    ),
    "an ending like a section that goes on": (
        2,
        "key: A minor\ntempo: 60\nform: A B A\nending: C\n"
        "[A]\n| Am | Dm | E7 | Am |\n[B]\n| E7 | A7 | Dm | Am |\n[C]\n| E7 | A7 | Dm | Am |\n",
    ),
    "vi over the first bar of a written V": (
        2,
        """key: A minor
meter: 6/8
tempo: 60
form: B A
ending: B

[A]
plain | D7 Dm | Am7 | E | E Am7 |
melody | D4:6 | Bb4:6 | C4:6 | F4:6 |
[B]
plain | Am7 | Am6 |
melody | Bb4:6 | C#4:6 |
""",
    ),
    "I over half of a written v": (
        3,
        """key: A minor
tempo: 96
form: A A A
ending: C

[A]
|: E7 | E7 | A7 | A7 |
| Dm | Dm | Am | Am :|
[C]
|: Dm | E | G | E7 |
| F{hold} | Dm | Am E | Am6 Am :|
""",
    ),
    "I over the whole of a written V": (
        3,
        """key: A minor
meter: 6/8
tempo: 138
form: B
ending: B

[B]
| Am    | Dm C | Am G | E  |
| B7 Am | E7   | Am6  | Am |
""",
    ),
}
"""Small tunes whose lanes once broke or were doubted: the cause, the depth, the chart."""


@pytest.mark.parametrize(("depth", "text"), BROKE.values(), ids=BROKE)
def test_what_once_broke_holds(depth: int, text: str) -> None:
    lead = reharmonize(parse_chart(text), depth)
    assert broken(lead) == []
    assert review(lead.chart) == ()


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(charts() | tunes(), st.integers(0, 4))
def test_bars_keep_their_lengths_and_can_be_written(chart: Chart, depth: int) -> None:
    lead = reharmonize(chart, depth)
    unit = chart.meter.unit_beats
    back = parse_chart(write_chart(lead.chart))
    assert back.sections == lead.chart.sections
    assert back.form == lead.chart.form
    twins = {last.section: last.base for last in lead.last}
    for new in lead.chart.sections:
        old = chart.section(twins.get(new.name, new.name))
        assert replace(new, swing=old.swing, name=old.name) == old
        assert new.swing is not None
        assert len(new.swing) == len(old.plain)
        for plain, swing in zip(old.plain, new.swing, strict=True):
            assert swing.beats == plain.beats
            assert all(slot.beats > 0 and slot.beats % unit == 0 for slot in swing.slots)
            assert (swing.repeat_start, swing.repeat_times, swing.ending) == (
                (plain.repeat_start, plain.repeat_times, plain.ending)
                if old.swing is None
                else (swing.repeat_start, swing.repeat_times, swing.ending)
            )


@settings(max_examples=40, deadline=None)
@given(charts())
def test_depth_zero_is_the_identity(chart: Chart) -> None:
    lead = reharmonize(chart, 0)
    for old, new in zip(chart.sections, lead.chart.sections, strict=True):
        assert new.swing == (old.plain if old.swing is None else old.swing)
    written = {section.name for section in chart.sections if section.swing is not None}
    assert all(swap.section in written for swap in lead.swaps)  # read out of it, not made


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes(), st.integers(1, 4))
def test_colour_alone_changes_no_root_and_no_length(chart: Chart, depth: int) -> None:
    lead = reharmonize(chart, 1)
    for section in lead.chart.sections:
        for plain, swing in zip(section.plain, section.lane("swing"), strict=True):
            assert [s.beats for s in plain.slots] == [s.beats for s in swing.slots]
            assert [s.chord and s.chord.root for s in plain.slots] == [
                s.chord and s.chord.root for s in swing.slots
            ]
    assert reharmonize(chart, depth) == reharmonize(chart, depth)


def skeleton(chart: Chart, tonic_pc: int) -> list[tuple[int, str, Fraction]]:
    """Return every swing chord as its distance above a tonic, its quality and its length."""
    return [
        ((slot.chord.root.pc - tonic_pc) % 12, slot.chord.quality.suffix, slot.beats)
        if slot.chord
        else (-1, "", slot.beats)
        for section in chart.sections
        for bar in section.lane("swing")
        for slot in bar.slots
    ]


def in_every_key(chart: Chart, depth: int) -> None:
    own = skeleton(reharmonize(chart, depth).chart, chart.key.tonic.pc)
    for pc in range(12):
        key = replace(chart.key, tonic=chart.key.spell(chart.key.tonic.pc + pc)).simple
        moved = reharmonize(transpose(chart, key), depth)
        assert skeleton(moved.chart, key.tonic.pc) == own, key


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes(), st.integers(1, 4))
def test_all_twelve_keys_give_the_same_functions(chart: Chart, depth: int) -> None:
    in_every_key(chart, depth)


def test_spelling_decides_nothing() -> None:
    """In E the raised tonic is written F, in C it is C sharp: once that chose another lane."""
    bars = "| C | G7 | C | C | C | G7 | C | C |"
    in_every_key(parse_chart(f"key: C\ntempo: 60\nmeter: 2/4\n[A]\n{bars}\n"), 4)


@pytest.mark.parametrize("depth", range(5))
def test_the_same_chart_gives_the_same_lane(depth: int) -> None:
    chart = parse_chart("key: C\n[A]\n| C Am | Dm G7 | E7 | A7 | Dm | G7 | C | C |\n")
    assert reharmonize(chart, depth) == reharmonize(chart, depth)


def leads_of_the_forms(depth: int) -> list[Lead]:
    return [reharmonize(parse_chart(text), depth) for text in FORM_TYPES.values()]


@pytest.mark.parametrize("depth", range(1, 5))
def test_every_swap_holds_in_the_form_types(depth: int) -> None:
    assert [text for lead in leads_of_the_forms(depth) for text in broken(lead)] == []


def needs_nothing(*_: object, **__: object) -> tuple[Need, ...]:
    return ()


def is_always_met(self: Need, chord: Chord | None) -> bool:
    return True


@pytest.mark.parametrize(
    ("where", "name", "mutant"),
    [
        (steps.Need, "met", is_always_met),
        (formulas, "_need", needs_nothing),
        (substitutions, "root_need", needs_nothing),
        (passing, "root_need", needs_nothing),
        (turnarounds, "needs", needs_nothing),
        (functions, "root_need", needs_nothing),
    ],
    ids=["met", "formulas", "substitutions", "passing", "turnarounds", "functions"],
)
def test_a_precondition_taken_away_is_seen(
    monkeypatch: pytest.MonkeyPatch, where: object, name: str, mutant: object
) -> None:
    """Without what a row needs of its neighbours the lanes break, and the rules above tell."""
    monkeypatch.setattr(where, name, mutant)
    own = [row for row in SWAPS if row.offers.__module__ == getattr(where, "__name__", "")]
    slow = "key: C\ntempo: 80\n[A]\n| C | A7 | Dm | G7 | C | E7 | A7 | D7 | G7 | C |\n"
    assert any(
        broken(reharmonize(parse_chart(text), depth, use=[row.name, "tritone substitution"]))
        for depth in (4, 3)
        for text in (slow, *FORM_TYPES.values())
        for row in own or rows_for(depth)[::3]
        if not row.colour
    )


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(charts(), st.sampled_from((None, 0, 2, 4)))
def test_the_lane_to_play_is_the_lane_with_names(chart: Chart, depth: int | None) -> None:
    lead = reharmonize(chart, depth)
    assert swing_lane(chart, depth) == lead.chart
    # a lane written by hand stays, whoever wants the names of its swaps
    assert swing_lane(lead.chart, depth) == reharmonize(lead.chart, depth).chart
