"""Practice tracks made from a tune's own hard spots.

Six kinds (:data:`DRILL_KINDS`). Each is one performance, so it becomes MIDI, sound and cues
like any take; section marks say what comes when, the tempo of every rung among them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import groupby

from porchswing.band.practice_forms import (
    LADDER_STEP,
    change_loop,
    doubled_phrases,
    excerpt,
    fading_by_chorus,
    in_alternate_phrases,
    ladder_tempos,
    on_ladder,
)
from porchswing.band.score import Label, PartScore, Score, Stroke
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import section_title
from porchswing.errors import OptionError
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.grips.drawings.moves import Move, hardest_moves
from porchswing.lesson.drill_source import (
    PHRASE_BARS,
    DrillSource,
    place_of,
    section_roads,
    spot_of,
    without_repeats,
)
from porchswing.options import PARTS, Choices
from porchswing.pages.practice.page_lane import places_among
from porchswing.pages.practice.task import PERCENT, Task
from porchswing.performance.concatenate import clicks, join, named
from porchswing.performance.model import Performance
from porchswing.take import road_of

DRILL_KINDS = {
    "changes": "the hardest changes of grip, back and forth, then in their place in the tune",
    "ladder": "a section round and round, the tempo rising",
    "answer": "a phrase with the chord part, then the same phrase without it for the student",
    "fade": "the chord part softer every chorus until it is gone",
    "line": "one string's line alone, then inside the chords",
    "strum": "the right hand on one grip, strings muted, then sounding",
}
"""The kinds of drill and what each one is."""

LOOP_TIMES = 4
FADE_CHORUSES = 4
STRUM_BARS = 4

_Piece = tuple[str, Performance]
"""What a piece of a drill is called (or nothing) and what is played."""


@dataclass(frozen=True, slots=True)
class Ladder:
    """A tempo ladder in felt beats a minute; ``None`` is a share of the tune's own tempo."""

    from_bpm: float | None = None
    to_bpm: float | None = None
    step: float = LADDER_STEP


@dataclass(frozen=True, slots=True)
class Drill:
    """One practice track: its ``kind``, file ``stem``, ``title``, and what to do in ``words``.

    ``arrange`` returns what is played; ``task`` is the same on the practice page, where the page
    can do it.
    """

    kind: str
    stem: str
    title: str
    words: str
    arrange: Callable[[], Performance]
    tags: Tags = NO_TAGS
    task: Task | None = None

    @property
    def performance(self) -> Performance:
        """What is played, arranged when it is first asked for: a lesson's plan needs none of it."""
        return self.arrange()


def drills(
    chart: Chart,
    choices: Choices,
    kinds: Iterable[str] = tuple(DRILL_KINDS),
    *,
    spots: int = 3,
    ladder: Ladder | None = None,
    about: Sequence[str] = (),
) -> tuple[Drill, ...]:
    """Return the drills of the kinds asked for, in the order of a practice session.

    ``spots`` is how many of the hardest changes get a track; ``choices`` cut out a section or
    bars, and say how the band plays. ``about`` names sections: each has a ladder, and the hard
    changes are theirs; without them the ladder is that of the hardest change's section.
    """
    wanted = set(kinds)
    if unknown := wanted - set(DRILL_KINDS):
        raise OptionError(
            f"unknown drill {', '.join(sorted(unknown))}; drills are {', '.join(DRILL_KINDS)}"
        )
    spot = spot_of(chart, choices)
    ranked = hardest_moves(
        spot.voicing, spot.roadmap, len(spot.voicing.slots), strokes=spot.strokes
    )
    hardest = [move for move in ranked if not about or move.after.section in about][:spots]
    makers: dict[str, Callable[[], list[Drill]]] = {
        "strum": lambda: [_strum(spot)],
        "changes": lambda: [change_drill(spot, n, move) for n, move in enumerate(hardest, start=1)],
        "line": lambda: [_line(spot)],
        "ladder": lambda: [
            _ladder(spot, ladder or Ladder(), stem, road)
            for stem, road in section_roads(spot, hardest, about).items()
        ],
        "answer": lambda: [_answer(spot)],
        "fade": lambda: [_fade(spot)],
    }
    return tuple(drill for kind, make in makers.items() if kind in wanted for drill in make())


# --- the six kinds -------------------------------------------------------------------------


def _strum(spot: DrillSource) -> Drill:
    first = next((slot for slot in spot.voicing.slots if slot.grip is not None), None)
    if first is None:
        raise OptionError("there is no grip to strum: the chart is silent throughout")
    road, voicing = change_loop(spot.roadmap, spot.voicing, first, first, times=STRUM_BARS // 2)

    def pieces() -> Iterator[_Piece]:
        sounding = spot.take(road, spot.slow_bpm, voicing=voicing, loop=True)
        muted = sounding.with_score(_with_chords(sounding.score, _muted))
        yield "strings muted", muted.performance
        yield "the grip sounds", sounding.performance
        yield "at tempo", spot.take(road, spot.tempo_bpm, voicing=voicing).performance

    return _drill(
        spot,
        "strum",
        "strum",
        f"Right hand on {first.chord} {first.grip}",
        "Lay the fretting hand flat on the strings and strum; then press the grip and let it "
        "sound; then at tempo.",
        pieces,
    )


def change_drill(spot: DrillSource, number: int, move: Move, stem: str = "change") -> Drill:
    """Return the drill of one change; ``stem`` and ``number`` name its file."""
    before = f"{move.before.chord} {move.before.grip}"
    after = f"{move.after.chord} {move.after.grip}"
    bar = spot.roadmap.meter.bar_beats
    steps = [("a bar each", bar, LOOP_TIMES)]
    if spot.roadmap.meter.count % 2 == 0:
        steps.append(("half a bar each", bar / 2, 2 * LOOP_TIMES))
    first, last = place_of(spot, move)

    def pieces() -> Iterator[_Piece]:
        for words, beats_each, times in steps:
            road, voicing = change_loop(
                spot.roadmap,
                spot.voicing,
                move.before,
                move.after,
                beats_each=beats_each,
                times=times,
            )
            yield words, spot.take(road, spot.slow_bpm, voicing=voicing, loop=True).performance
        twice = excerpt(spot.roadmap, first, last, 2)
        yield "in the tune, slowly", spot.take(twice, spot.slow_bpm, loop=True).performance
        yield "at tempo", spot.take(twice, spot.tempo_bpm).performance

    return _drill(
        spot,
        "changes",
        f"{stem} {number}",
        f"{before} to {after} (section {section_title(spot.chart, move.after.section)}, "
        f"bar {move.after.bar})",
        f"Back and forth between {before} and {after}: {str(move).partition(': ')[2]}; it "
        f"{move.time_words}. Look where the hand goes before it leaves.",
        pieces,
        _slow_task(spot, first, last),
    )


def _slow_task(spot: DrillSource, first: int, last: int) -> Task:
    """Return the loop of some played bars at the tempo practice starts with.

    Where the page parts them (a last time is behind the form), the most that stay together.
    """
    shown = places_among(spot.roadmap.bars, spot.page_bars)[first : last + 1]
    # places that stay together lie as far from their index
    runs = groupby(enumerate(shown), key=lambda each: each[1] - each[0])
    longest = max(([place for _, place in run] for _, run in runs), key=len)
    percent = round(100 * spot.slow_bpm / spot.tempo_bpm)
    bars = (longest[0] + 1, longest[-1] + 1)
    return Task(bars, min(PERCENT[-1], max(PERCENT[0], percent)))


def _line(spot: DrillSource) -> Drill:
    road = without_repeats(spot.roadmap)

    def pieces() -> Iterator[_Piece]:
        alone = spot.take(road, spot.slow_bpm, only=("line",), loop=True)
        yield "the line alone", alone.performance
        yield "inside the chords", spot.take(road, spot.slow_bpm, also=("line",)).performance

    return _drill(
        spot,
        "line",
        "line",
        "One string's line",
        "Hear the line alone and sing it; then hear it inside the chords, and bring it out with "
        "the strumming hand.",
        pieces,
    )


def _ladder(spot: DrillSource, ladder: Ladder, stem: str, road: Roadmap) -> Drill:
    start = ladder.from_bpm or spot.slow_bpm
    tempos = ladder_tempos(start, ladder.to_bpm or max(spot.tempo_bpm, start), ladder.step)
    chorus = len(road.bars)
    whole = excerpt(road, 0, chorus - 1, len(tempos))
    bars = tuple(replace(bar, chorus=n // chorus + 1) for n, bar in enumerate(whole.bars))
    whole = replace(whole, bars=bars)
    style = on_ladder(spot.choices.style, tempos)
    climbing = replace(spot, choices=replace(spot.choices, style=style))
    rungs = tuple(
        Label(bar.start_beats, "section", f"{tempo:.0f} bpm")
        for bar, tempo in zip(whole.bars[::chorus], tempos, strict=True)
    )
    opening = (road.bars[0].section, road.bars[0].bar)
    first = [(bar.section, bar.bar) for bar in spot.roadmap.bars].index(opening)
    last = min(first + chorus, len(spot.roadmap.bars)) - 1
    in_rungs = partial(_in_sections, sections=rungs)
    return _drill(
        spot,
        "ladder",
        stem,
        f"Section {section_title(spot.chart, road.bars[0].section)}, "
        f"{tempos[0]:.0f} to {tempos[-1]:.0f} bpm",
        f"{len(tempos)} rounds, each a little faster. Leave the ladder where it stops being "
        "easy, and start there tomorrow.",
        lambda: [("", climbing.take(whole, tempos[0], change=in_rungs).performance)],
        _slow_task(spot, first, last),
    )


def _answer(spot: DrillSource) -> Drill:
    road = doubled_phrases(without_repeats(spot.roadmap), PHRASE_BARS)
    turns = tuple(
        Label(bar.start_beats, "section", "your turn" if turn % 2 else "listen")
        for turn, bar in enumerate(road.bars[::PHRASE_BARS])
    )

    def in_turns(score: Score) -> Score:
        alternating = partial(in_alternate_phrases, roadmap=road, phrase_bars=PHRASE_BARS)
        return _in_sections(_with_chords(score, alternating), turns)

    return _drill(
        spot,
        "answer",
        "answer",
        "Listen, then answer",
        f"Every phrase of {PHRASE_BARS} bars comes twice: listen to the chords, then play them "
        "yourself while bass and drums go on.",
        lambda: [("", spot.take(road, spot.tempo_bpm, change=in_turns).performance)],
        Task(mode="answer"),
    )


def _fade(spot: DrillSource) -> Drill:
    road = road_of(spot.chart, replace(spot.choices, choruses=FADE_CHORUSES))
    fading = partial(_with_chords, change=partial(fading_by_chorus, roadmap=road))
    return _drill(
        spot,
        "fade",
        "fade",
        "The chord part fades",
        f"{FADE_CHORUSES} choruses: play along from the first; by the last one you carry the "
        "chords alone.",
        lambda: [("", spot.take(road, spot.tempo_bpm, change=fading).performance)],
        Task(mode="fade"),
    )


# --- shared steps --------------------------------------------------------------------------


def _drill(
    spot: DrillSource,
    kind: str,
    stem: str,
    title: str,
    words: str,
    pieces: Callable[[], Iterable[_Piece]],
    task: Task | None = None,
) -> Drill:
    """Return a drill that arranges its pieces once, when they are asked for."""
    whole_title = f"{spot.chart.title}: {title}"
    arrange = cache(lambda: _joined(spot, whole_title, pieces()))
    return Drill(kind, stem, title, words, arrange, Tags(whole_title, spot.chart.by), task)


def _joined(spot: DrillSource, title: str, pieces: Iterable[_Piece]) -> Performance:
    """Return the pieces of a drill in a row, a bar of clicks at its own tempo before each."""
    meter = spot.roadmap.meter
    count = meter.count // 3 if meter.is_compound else meter.count
    in_order: list[Performance] = []
    for name, piece in pieces:
        pulse = clicks(meter, 60e6 / piece.tempo_events[0].us_per_quarter, max(2, count))
        in_order += [pulse, named(piece, name) if name else piece]
    return replace(join(in_order, title), key=in_order[1].key)


def _with_chords(score: Score, change: Callable[[PartScore], PartScore]) -> Score:
    parts = (change(part) if part.name == PARTS[0] else part for part in score.parts)
    return replace(score, parts=tuple(parts))


def _in_sections(score: Score, sections: Iterable[Label]) -> Score:
    """Return the score with other names of sections over it."""
    kept = (label for label in score.labels if label.kind != "section")
    labels = sorted((*sections, *kept), key=lambda label: label.onset_beats)
    return replace(score, labels=tuple(labels))


def _muted(part: PartScore) -> PartScore:
    """Return the part with every stroke on muted strings."""
    events = (
        replace(e, kind="chuck", slide_frets=0, fall_frets=0, vibrato=False, let_ring=False)
        for e in part.events
        if isinstance(e, Stroke)
    )
    return replace(part, events=tuple(events))
