"""What each swap needs in the finished lane: the preconditions, written here anew.

They come from the examples of the trade (common practice), not from the rows of the engine, and
are checked in playing order, over every seam of the form.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

from porchswing.chart.unroll import unroll
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord


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
    "♭VI7 before V7": lambda b, old, new, after: (
        by(new[-1], after, 1) or (by(new[0], new[-1], 1) and fifths([new[-1], after]))
    ),
    "♭VI7 V7 in minor": lambda b, old, new, after: (
        by(new[-1], after, 1) or (by(new[0], new[1], 1) and fifths([new[1], after]))
    ),
    "backdoor iv7 ♭VII7": lambda b, old, new, after: (
        fifths(new[-2:])
        and (
            (by(new[-1], after, 10) and after.quality.family == "major")
            or (by(new[-1], after, 10) and old[-1].quality.family == "dominant")  # a blues' IV7
            or (by(new[-1], after, 6) and after.quality.family == "minor")  # iv before iii
        )
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
    "borrowed iiø": lambda b, old, new, after: (
        fifths([*new, after])
        # the ii alone goes to V, which stands as written
        and after.quality.family
        in (("major",) if len(new) > 1 else ("dominant", "major", "suspended"))
    ),
    "minor descent to V": lambda b, old, new, after: by(new[-1], after, 1),
    "♯IV° to I/5": lambda b, old, new, after: (new[2].bass_note.pc - new[1].root.pc) % 12 == 1,
    "amen ending": lambda b, old, new, after: after is None,
    "home at the end": lambda b, old, new, after: after is None,
    "chromatic ii–V from above": lambda b, old, new, after: (
        after is not None and falls(new[-2], after) == 1
    ),
    "ii–V a tritone away": lambda b, old, new, after: by(new[-1], after, 1),
    "quick change": lambda b, old, new, after: falls(new[0], new[1]) == 7,
    "minor turns dominant": lambda b, old, new, after: fifths([new[-1], after]),
    "v7 for I before I7 into IV": lambda b, old, new, after: fifths([*new[-2:], after]),
    "I IV7 iii VI7 into ii": lambda b, old, new, after: (
        by(new[1], new[2], 1) and fifths([*new[2:], after])
    ),
    "dominants down to VI": lambda b, old, new, after: (
        all(by(a, b, 1) for a, b in pairwise(new)) and fifths([new[-1], after])
    ),
    "VII7 into I": lambda b, old, new, after: by(new[-1], after, 11),
    "♯iv7 VII7 into I": lambda b, old, new, after: fifths(new[-2:]) and by(new[-1], after, 11),
    "iii VI7 ii V over V": lambda b, old, new, after: fifths([*new[2:], after]),
    "dominants down to I over V": lambda b, old, new, after: by(new[-1], after, 1),
    "chromatic ii–V over V": lambda b, old, new, after: (
        fifths(new[:2]) and fifths([*new[2:], after])
    ),
    "♯II° for V": lambda b, old, new, after: (
        # to I over its third in spirit, or to iii
        (by(new[-1], after, 3) or by(new[-1], after, 11)) and by(new[1], new[0], 1)
    ),
    "♭VII7 for IV": lambda b, old, new, after: by(new[-1], after, 10) or by(new[-1], after, 8),
    "♭VI ♭VII7 I": lambda b, old, new, after: by(new[0], new[1], 10) and by(new[1], after, 10),
    "♭IImaj7 for V": lambda b, old, new, after: by(new[-1], after, 1),
    "a dominant's own V": lambda b, old, new, after: fifths([*new[:2], after]),
    "iii for I": lambda b, old, new, after: by(new[-1], after, 7),
    "IV for ii": lambda b, old, new, after: by(new[-1], after, 10) or by(new[-1], after, 4),
    "ii of a substitute": lambda b, old, new, after: fifths(new[-2:]) and by(new[-1], after, 1),
    "♯V° for V": lambda b, old, new, after: by(new[-1], after, 8),
    "viiø for V": lambda b, old, new, after: by(new[-1], after, 11),
    "I V7 I": lambda b, old, new, after: fifths(new[1:]) and new[0].root == new[2].root,
    "vi for I": lambda b, old, new, after: (
        after is not None
        and (
            falls(new[-1], after) in (7, 4, 5, 2)
            # the goal's own V stands between: iv V i
            or (falls(new[-1], after) == 10 and after.quality.family == "dominant")
        )
    ),
    "VI7 or III7 before IV": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) in (4, 11)
    ),
    "♭III7 into ii": lambda b, old, new, after: by(new[-1], after, 1),
    "ii ♭II7 for V": lambda b, old, new, after: fifths([*new, after]),
    "tritone ii–Vs over V": lambda b, old, new, after: fifths([new[-1], after]),
    "ii–Vs down to ii": lambda b, old, new, after: by(new[-2], after, 1),
    "chain of ii–Vs into IV": lambda b, old, new, after: fifths([new[-1], after]),
    "III° into IV": lambda b, old, new, after: by(new[-1], after, 11),
    "iii down to I": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) in (1, 7)
    ),
    "VII7 or ♭VII7 on the way to ii": lambda b, old, new, after: fifths([new[-1], after]),
    "diatonic passing chord": lambda b, old, new, after: (
        after is not None
        and any(
            {falls(new[0], new[1]), falls(new[1], after)} <= steps for steps in ({10, 11}, {1, 2})
        )
    ),
    "diminished into the next chord": lambda b, old, new, after: by(new[-1], after, 11),
    "minor iv for ii": lambda b, old, new, after: by(new[-1], after, 10),
    "V7 before I": lambda b, old, new, after: by(new[-1], after, 7),
    "I IV I": lambda b, old, new, after: by(new[0], new[1], 7) and by(new[1], new[2], 5),
    "dominant of any chord": lambda b, old, new, after: by(new[-1], after, 7),
    "tritone dominant of any chord": lambda b, old, new, after: fifths([new[-1], after]),
    "diminished beside any chord": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) in (0, 1, 3, 11)
    ),
    "slid in from a semitone": lambda b, old, new, after: any(
        falls(first, second) in (1, 11)
        for place, first in enumerate(new)
        for second in [*new[place + 1 :], *([after] if after else [])]
    ),
    "back door of any major chord": lambda b, old, new, after: (
        after is not None and falls(new[-1], after) in (10, 5, 1)
    ),
    "late by its own way in": lambda b, old, new, after: new[-1].root == old[-1].root,
    "a third away": lambda b, old, new, after: len(new[-1].pcs & old[0].pcs) >= 2,
    "in a dominant's place": lambda b, old, new, after: (
        old[0].quality.family == "dominant" and falls(new[-1], old[0]) in (3, 4, 6, 7, 9, 10)
    ),
    "another quality": lambda b, old, new, after: new[-1].root == old[-1].root,
    "two bars of fifths into any chord": lambda b, old, new, after: (
        fifths([new[-1], after]) or fifths(new[-2:])
    ),
    "each by its own way in": lambda b, old, new, after: (
        after is not None
        and falls(new[1], new[2]) == falls(new[3], after)
        and falls(new[3], after) in (1, 7, 11)
    ),
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
    basses = same_root and len({chord.bass_note.pc for chord in new}) > 1
    stop = place
    for chord in new:
        start = stop
        while stop < len(chords) and _same(chords[stop], chord, basses=basses):
            stop += 1
            if same_root and not basses and chord.quality.family == new[-1].quality.family:
                break
        if stop == start:
            return True
    before = chords[place - 1] if place else None
    after = chords[stop] if stop < len(chords) else None
    return rule(before, old, new, after)


def _same(played: Chord | None, chord: Chord, *, basses: bool) -> bool:
    """Whether a chord is there, whatever colour it took afterwards."""
    return (
        played is not None
        and (not basses or played.bass_note.pc == chord.bass_note.pc)
        and played.root.pc == chord.root.pc
        and played.quality.family == chord.quality.family
    )
