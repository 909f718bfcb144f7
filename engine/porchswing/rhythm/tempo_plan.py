"""From a roadmap and the player's choices to the tempo map of a take.

Tempo comes from the chart's ``tempo:`` lines, scaled when the player asks for another tempo, so
that a section marked slower stays slower; a ladder gives each chorus its own. Swing comes from
the player, then the ``swing:`` lines; where neither gives a number the strum's own feel decides
(a straight strum makes the band play even eighths), then the tempo; meters in eighths are
straight unless a number was given.

The ritardando follows the shape Friberg & Sundberg found in final ritards and in runners who
stop (JASA 105(3), 1999): v(x) = (1 + (w^q − 1)·x)^(1/q), with q = 3 (figure from memory).
"""

from __future__ import annotations

from fractions import Fraction

from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import load_pattern_data
from porchswing.rhythm.swing import STRAIGHT, auto_ratio
from porchswing.rhythm.tempo import TempoMap, TempoSegment

RITARD_Q = 3.0
ENDING_RITARD_BARS = 4
PLAIN_RITARD_BARS = 2


def tempo_map_for(roadmap: Roadmap, style: BandStyle) -> TempoMap:
    """Return the tempo map of a take.

    ``roadmap`` gives bars with their settings; ``style`` is the player's
    :class:`~porchswing.options.BandStyle`. Every segment carries its own swing ratio.
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
    segments: list[TempoSegment] = []
    for row in rows:
        segment = TempoSegment(*row)
        last = segments[-1] if segments else None
        if last and (last.quarter_bpm, last.swing_ratio) == row[1:]:
            continue
        segments.append(segment)
    unit = Fraction(1) if roadmap.meter.unit == 4 else roadmap.meter.unit_beats
    return TempoMap(tuple(segments), swing_unit_beats=unit, feel=style.feel)


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
    if name is None:
        return False
    return load_pattern_data("strum", name).values.get("feel") == "straight"


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
