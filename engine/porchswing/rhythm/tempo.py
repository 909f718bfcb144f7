"""The tempo map that MIDI and audio share: tempo and swing over written beats.

Tempo is piecewise constant in whole microseconds per quarter, as a Standard MIDI File keeps it
(a ritardando is a run of steps, one a beat), so one table turns beats into seconds and ticks
without drift. Beat 0 is the first bar of music; a count-in lies at negative beats and takes the
tempo of the first segment.

Two kinds of beats: *written* beats are exact fractions, unswung; *performed* beats are floats
that :meth:`TempoMap.warp` makes of them. Seconds and ticks follow from performed beats.

:func:`tempo_map_for` makes the map of a take from its roadmap and the player's choices.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby, pairwise
from operator import itemgetter

from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import load_pattern_data
from porchswing.rhythm.swing import STRAIGHT, auto_ratio, even_beats, part_ratio, swing_fraction
from porchswing.units import TICKS_PER_BEAT

US_PER_MINUTE = 60_000_000


@dataclass(frozen=True, slots=True)
class TempoSegment:
    """From ``start_beats`` on: quarters per minute and the swing ratio (None: by tempo)."""

    start_beats: Fraction
    quarter_bpm: float
    swing_ratio: float | None = None

    @property
    def us_per_quarter(self) -> int:
        """Length of a quarter in whole microseconds, what MIDI writes and audio plays."""
        return round(US_PER_MINUTE / self.quarter_bpm)

    @property
    def ratio(self) -> float:
        """The swing ratio in force."""
        return auto_ratio(self.quarter_bpm) if self.swing_ratio is None else self.swing_ratio


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Tempo and swing over the whole tune, segments in rising order of beats.

    ``swing_unit_beats`` is the beat whose halves swing, in quarters: a quarter in n/4, an
    eighth in n/8. ``feel`` from 0 to 1 lets the parts swing apart as they were measured.
    """

    segments: tuple[TempoSegment, ...]
    swing_unit_beats: Fraction = Fraction(1)
    feel: float = 0.0
    _starts: tuple[float, ...] = field(default=(), init=False, repr=False, compare=False)
    _table: tuple[tuple[float, int, float], ...] = field(
        default=(), init=False, repr=False, compare=False
    )
    _unit: float = field(default=1.0, init=False, repr=False, compare=False)
    _ratios: dict[tuple[int, str], float] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        """Check the order of the segments and add up their seconds."""
        if not self.segments:
            raise ValueError("a tempo map needs at least one segment")
        starts = [segment.start_beats for segment in self.segments]
        if any(later <= earlier for earlier, later in pairwise(starts)):
            raise ValueError(f"tempo segments must start one after another, got {starts}")
        first = self.segments[0]
        clock_us = float(first.start_beats) * first.us_per_quarter
        table = [(float(first.start_beats), first.us_per_quarter, clock_us)]
        for before, segment in pairwise(self.segments):
            clock_us += float(segment.start_beats - before.start_beats) * before.us_per_quarter
            table.append((float(segment.start_beats), segment.us_per_quarter, clock_us))
        object.__setattr__(self, "_starts", tuple(row[0] for row in table))
        object.__setattr__(self, "_table", tuple(table))
        object.__setattr__(self, "_unit", float(self.swing_unit_beats))

    def index_at(self, beats: Fraction | float) -> int:
        """Return the index of the segment in force at a beat (the first one before beat 0)."""
        return max(0, bisect_right(self._starts, float(beats)) - 1)

    def segment_at(self, beats: Fraction | float) -> TempoSegment:
        """Return the segment in force at a beat."""
        return self.segments[self.index_at(beats)]

    def ratio_at(self, beats: Fraction | float, part: str = "drums") -> float:
        """Return the swing ratio of a part (``chords``, ``bass``, ``drums``, …) at a beat."""
        key = (self.index_at(beats), part)
        if key not in self._ratios:
            segment = self.segments[key[0]]
            self._ratios[key] = part_ratio(segment.ratio, segment.quarter_bpm, part, self.feel)
        return self._ratios[key]

    def even_beats(self, onsets: Iterable[Fraction]) -> frozenset[int]:
        """Return the beats a part with these onsets plays as written: triplets, sixteenths."""
        return even_beats(onsets, self.swing_unit_beats)

    def warp(
        self,
        beats: Fraction,
        ratio: float | None = None,
        *,
        part: str = "drums",
        even: frozenset[int] = frozenset(),
    ) -> float:
        """Return the performed beat of a written one: off-beats swung, beats in place.

        ``ratio`` overrides the map's own; ``part`` chooses whose ratio; ``even`` holds the
        beats this part plays as written (see :meth:`even_beats`). Strictly rising for one
        part, so no two of its events change order.

        >>> tempo = TempoMap((TempoSegment(Fraction(0), 120.0, 2.0),))
        >>> round(tempo.warp(Fraction(7, 2)) * 960)
        3520
        """
        whole = beats.numerator / beats.denominator
        beat, inside = divmod(whole / self._unit, 1.0)
        if not inside:
            return whole
        if ratio is None:
            ratio = self.ratio_at(whole, part)
        if ratio == 1.0 or int(beat) in even:
            return whole
        return self._unit * (beat + swing_fraction(inside, ratio))

    def seconds(self, beats: Fraction | float) -> float:
        """Return the clock time in seconds of a performed beat; beat 0 is at 0.

        >>> TempoMap((TempoSegment(Fraction(0), 120.0),)).seconds(4)
        2.0
        """
        start, us_per_quarter, clock_us = self._table[self.index_at(beats)]
        return (clock_us + (float(beats) - start) * us_per_quarter) / 1e6

    def beats(self, seconds: float) -> float:
        """Return the performed beat at a clock time in seconds, the inverse of :meth:`seconds`."""
        clock_us = seconds * 1e6
        index = max(0, bisect_right([row[2] for row in self._table], clock_us) - 1)
        start, us_per_quarter, at_us = self._table[index]
        return start + (clock_us - at_us) / us_per_quarter

    def ticks(self, beats: Fraction | float) -> int:
        """Return the whole MIDI tick nearest to a performed beat; beat 0 is tick 0."""
        return round(float(beats) * TICKS_PER_BEAT)


# --- from a roadmap and the player's choices -----------------------------------------------

RITARD_Q = 3.0
"""The shape of final ritards and of runners who stop, v(x) = (1 + (w^q − 1)·x)^(1/q): A. Friberg,
J. Sundberg, JASA 105(3), 1999 (figure from memory)."""

ENDING_RITARD_BARS = 4
PLAIN_RITARD_BARS = 2


def tempo_map_for(roadmap: Roadmap, style: BandStyle) -> TempoMap:
    """Return the tempo map of a take; every segment carries its own swing ratio.

    Tempo comes from the chart's ``tempo:`` lines, scaled when the player asks for another tempo,
    so that a section marked slower stays slower; a ladder gives each chorus its own. Swing comes
    from the player, then the ``swing:`` lines; where neither gives a number the strum's own feel
    decides (a straight strum makes the band play even eighths), then the tempo; meters in eighths
    are straight unless a number was given.
    """
    rows: list[tuple[Fraction, float, float]] = []
    for bar in roadmap.bars:
        quarter_bpm = _quarter_bpm(roadmap, bar, style)
        rows.append((bar.start_beats, quarter_bpm, _ratio(roadmap, bar, style, quarter_bpm)))
    if not rows:
        quarter_bpm = style.felt_bpm(roadmap.tempo_bpm) * float(roadmap.meter.felt_beats)
        rows.append((Fraction(0), quarter_bpm, STRAIGHT))
    if style.ritardando > 0 and not style.loop:
        rows = _slow_down(roadmap, rows, style.ritardando)
    # rows of one tempo and ratio are one segment
    segments = tuple(TempoSegment(*next(run)) for _, run in groupby(rows, key=itemgetter(1, 2)))
    unit = Fraction(1) if roadmap.meter.unit == 4 else roadmap.meter.unit_beats
    return TempoMap(segments, swing_unit_beats=unit, feel=style.feel)


def _quarter_bpm(roadmap: Roadmap, bar: PlayedBar, style: BandStyle) -> float:
    written = bar.settings.tempo_bpm or roadmap.tempo_bpm
    asked = style.felt_bpm(roadmap.tempo_bpm)
    if style.chorus_tempos_bpm:
        rung = min(max(bar.chorus, 1), len(style.chorus_tempos_bpm)) - 1
        asked = style.chorus_tempos_bpm[rung]
    return written * (asked / roadmap.tempo_bpm) * float(roadmap.meter.felt_beats)


def _ratio(roadmap: Roadmap, bar: PlayedBar, style: BandStyle, quarter_bpm: float) -> float:
    setting = style.swing or bar.settings.swing
    if setting is not None and setting.ratio is not None:
        return float(setting.ratio)
    if roadmap.meter.unit != 4 or _is_straight(bar, style):
        return STRAIGHT
    return auto_ratio(quarter_bpm)


def _is_straight(bar: PlayedBar, style: BandStyle) -> bool:
    """Whether the strum somebody chose is played in even eighths.

    The strum alone decides, so that another drum groove never moves another part.
    """
    name = style.strum or bar.settings.strum
    return name is not None and load_pattern_data("strum", name).values.get("feel") == "straight"


def _slow_down(
    roadmap: Roadmap, rows: list[tuple[Fraction, float, float]], amount: float
) -> list[tuple[Fraction, float, float]]:
    """Replace the rows of the last bars by one row a beat, each slower than the one before."""
    ending = [bar for bar in roadmap.bars if bar.role == "ending"][-ENDING_RITARD_BARS:]
    bars = ending or list(roadmap.bars[-PLAIN_RITARD_BARS:])
    start, end = bars[0].start_beats, bars[-1].start_beats + bars[-1].beats
    kept = [row for row in rows if row[0] < start]
    _, quarter_bpm, ratio = next(row for row in reversed(rows) if row[0] <= start)
    total, step = end - start, roadmap.meter.unit_beats
    at = start
    while at < end:
        place = float((at + step / 2 - start) / total)
        speed = (1 + ((1 - amount) ** RITARD_Q - 1) * place) ** (1 / RITARD_Q)
        kept.append((at, quarter_bpm * speed, ratio))
        at += step
    return kept
