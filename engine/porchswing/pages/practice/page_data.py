"""The tune as the page's modules read it: plain lists and numbers, ready for JSON.

Beats are written, unswung quarters; the page warps and times them itself, with the sums of
``rhythm/swing.py`` and ``rhythm/tempo.py`` (see ``web/band/clock.mjs``).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from porchswing.audio.mix.strikes import RESTRIKE
from porchswing.band.score import PartScore, Stroke
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import PlayedBar
from porchswing.grips.shapes.model import Tuning
from porchswing.grips.shapes.work import shifted_frets
from porchswing.pages.practice.board_html import HeldGrip, bar_slots
from porchswing.pages.practice.page_lane import PageLane, lane_places, shown_bars
from porchswing.pages.practice.page_sound import MARK_S, ROOM_RATE_HZ, SoundStrip, StruckNote
from porchswing.pages.practice.task import Task
from porchswing.pages.symbols import half_ems, symbol_parts
from porchswing.performance.model import Note
from porchswing.rhythm.swing import PLAYER, auto_ratio
from porchswing.rhythm.tempo import TempoMap
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.notes import with_signs
from porchswing.units import db_to_gain

CURVE_FROM_BPM, CURVE_TO_BPM, CURVE_STEP_BPM = 10, 400, 10
"""The swing curves are handed over at these tempi; their own corners lie on them."""

FIXED_LENGTH_S = 0.12
"""A note that ends further than this from its written end lasts fixed seconds at any tempo."""


def tune_data(
    chart: Chart, lanes: Sequence[PageLane], strip: SoundStrip, task: Task | None = None
) -> dict[str, Any]:
    """Return everything the page's script needs of a tune, but for its sounds and drawings."""
    first = lanes[0]
    bars, places = first.roadmap.bars, lane_places(lanes)
    numbers = numbered(lanes)
    grips = [held.grip for held in numbers]
    tuning = first.voicing.tuning
    return {
        "title": chart.title,
        "by": chart.by,
        "meter": str(chart.meter),
        "unit": float(chart.meter.unit_beats),
        "felt": float(chart.meter.felt_beats),
        "strings": [
            with_signs(str(Key.parse("C").spell(pitch % 12))) for pitch in tuning.open_midi
        ],
        "line": line_index(chart, tuning),
        "task": task.address if task is not None else "",
        "key": _memory_key(chart, bars),
        "countIn": float(first.score.count_in_beats),
        "clock": clock_data(first.score.tempo_map),
        "bars": [
            {
                "place": place,
                "section": bar.section,
                "bar": bar.bar,
                "role": bar.role,
                "chorus": bar.chorus,
                "start": _beats(bar.start_beats),
                "beats": _beats(bar.beats),
            }
            for place, bar in zip(places, bars, strict=True)
        ],
        "grips": [
            {"frets": str(grip), "at": list(grip.frets), "fingers": list(grip.fingers)}
            for grip in grips
        ],
        "shifts": [[shifted_frets(before, after) for after in grips] for before in grips],
        "lanes": [_lane(lane, places, numbers, strip) for lane in lanes],
        "mix": _mix(strip),
        "strip": {"mark": MARK_S, "cuts": [[round(x, 6) for x in cut] for cut in strip.cuts]},
    }


def _memory_key(chart: Chart, bars: Sequence[PlayedBar]) -> str:
    """Return a short word for the tune that the page remembers its settings under."""
    form = [(bar.section, bar.bar, str(bar.beats)) for bar in bars]
    text = repr((chart.title, str(chart.key), form))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:12]


def line_index(chart: Chart, tuning: Tuning) -> int | None:
    """Return the place of the string whose line the chart asks for, the outermost first."""
    said = [chart.settings, *(settings for part in chart.sections for _, settings in part.settings)]
    strings = [each.line.string for each in said if each.line is not None and each.line.string]
    return tuning.index(strings[0]) if strings else None


def grips_of(lanes: Sequence[PageLane]) -> dict[HeldGrip, Chord | None]:
    """Return every grip once with the first chord it is used for, in playing order.

    A grip that is fingered in two ways counts twice.
    """
    found: dict[HeldGrip, Chord | None] = {}
    for lane in lanes:
        for bar in lane.roadmap.bars:
            for slot in lane.voicing.voiced(bar):
                if slot.grip is not None:
                    found.setdefault(HeldGrip.of(slot.grip), slot.chord)
    return found


def numbered(lanes: Sequence[PageLane]) -> dict[HeldGrip, int]:
    """Return the number of every grip of :func:`grips_of`."""
    return {grip: number for number, grip in enumerate(grips_of(lanes))}


def _lane(
    lane: PageLane, places: Sequence[int], numbers: dict[HeldGrip, int], strip: SoundStrip
) -> dict[str, Any]:
    scores = {part.name: part for part in lane.score.parts}
    return {
        "name": lane.name,
        "slots": [_slots(lane, bar, numbers) for bar in shown_bars(lane.roadmap.bars, places)],
        "strokes": [
            [_beats(event.onset_beats), event.direction, event.kind]
            for event in scores["chords"].events
            if isinstance(event, Stroke)
        ]
        if "chords" in scores
        else [],
        "parts": [
            _part(
                part.name, part.notes, scores[part.name], lane, strip.struck[lane.name, part.name]
            )
            for part in lane.performance.parts
        ],
    }


def _slots(lane: PageLane, bar: PlayedBar, numbers: dict[HeldGrip, int]) -> list[dict[str, Any]]:
    return [
        {
            "at": _beats(slot.at),
            "name": _name(slot.chord),
            "grip": None if slot.grip is None else numbers[HeldGrip.of(slot.grip)],
            **({"said": slot.said} if slot.said else {}),
        }
        for slot in bar_slots(lane, bar)
    ]


def _name(chord: Chord | None) -> list[str | int]:
    """Return a symbol's printed parts and its width in half ems."""
    parts = symbol_parts(chord)
    return [*parts, half_ems(parts)]


def _part(
    name: str,
    notes: Sequence[Note],
    score: PartScore,
    lane: PageLane,
    struck: Sequence[StruckNote],
) -> dict[str, Any]:
    tempo_map, start_s = lane.score.tempo_map, lane.performance.music_start_s
    even = tempo_map.even_beats(event.onset_beats for event in score.events)

    def late_s(seconds: float, beats: Fraction) -> float:
        """Seconds after where the page's own clock puts a written beat (swing, no hand)."""
        return seconds - start_s - tempo_map.seconds(tempo_map.warp(beats, part=name, even=even))

    rows = []
    for note, strike in sorted(zip(notes, struck, strict=True), key=lambda pair: pair[0].beats):
        row: list[Any] = [_beats(note.beats), round(late_s(note.onset_s, note.beats), 5)]
        end_late_s = late_s(note.end_s, note.beats_end)
        if strike.lasts_s is not None:
            row += [None, round(strike.lasts_s, 3)]
        elif abs(end_late_s) > FIXED_LENGTH_S:
            row += [None, round(note.end_s - note.onset_s, 4)]
        else:
            row += [_beats(note.beats_end), round(end_late_s, 4)]
        row += [strike.sound, float(f"{strike.gain:.4g}"), strike.seat, strike.string]
        if note.bends:
            row.append([[round(bend.offset_s, 4), bend.semitones] for bend in note.bends])
        rows.append(row)
    return {"name": name, "even": sorted(even), "notes": rows}


def _mix(strip: SoundStrip) -> dict[str, Any]:
    seats = []
    for part, seat in strip.seats:
        level = db_to_gain(seat.level_db)
        send = level * db_to_gain(seat.send_db)
        seats.append([part, round(level, 5), round(seat.pan, 3), round(send, 5)])
    return {
        "seats": seats,
        "room": float(f"{strip.room_gain * ROOM_RATE_HZ:.4g}"),
        "master": float(f"{strip.master_gain:.4g}"),
        "restrike": RESTRIKE,
    }


def clock_data(tempo_map: TempoMap) -> dict[str, Any]:
    """Return the tempo map and the swing curves as ``web/band/clock.mjs`` reads them."""
    segments: list[list[float | int | None]] = []
    for segment in tempo_map.segments:
        ratio, followed = segment.ratio, None
        before = segments[-1] if segments else None
        if ratio == auto_ratio(segment.quarter_bpm):
            followed = segment.quarter_bpm
        elif before is not None and before[2] == ratio:  # a ritardando keeps the ratio
            followed = before[3]
        start = _beats(segment.start_beats)
        segments.append([start, segment.us_per_quarter, ratio, followed, segment.quarter_bpm])
    tempi = range(CURVE_FROM_BPM, CURVE_TO_BPM + 1, CURVE_STEP_BPM)
    curves = sorted(set(PLAYER.values()))
    return {
        "segments": segments,
        "unit": float(tempo_map.swing_unit_beats),
        "feel": tempo_map.feel,
        "players": PLAYER,
        "curves": {
            "from": CURVE_FROM_BPM,
            "step": CURVE_STEP_BPM,
            "rows": {curve: [auto_ratio(bpm, curve) for bpm in tempi] for curve in curves},
        },
    }


def _beats(beats: Fraction) -> float | int:
    """Return beats as JSON writes them: whole where they are, else to a millionth of a ms."""
    return beats.numerator if beats.denominator == 1 else round(float(beats), 9)
