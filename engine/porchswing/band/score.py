"""Written music: what each part plays, in exact unswung beats, before anybody performs it.

Onsets are quarter-note beats as exact fractions counted from the first bar of music; the
count-in is at negative beats. ``velocity`` is 0 to 1. Swing, spread over the strings and
human timing belong to the performance, never to these records.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from porchswing.grips.shapes.model import Grip
from porchswing.rhythm.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class Stroke:
    """One pass of the strumming hand over a grip, ``chords`` and ``line`` parts only.

    ``direction`` is ``down`` (from the highest-numbered string to string 1) or ``up``.
    ``kind`` is ``strum``, ``chuck`` (damped, pitchless), ``ghost``, ``roll``, ``tremolo``,
    ``pinch`` or ``slur`` (the fretting hand alone sounds the grip, no pluck). ``strings`` are
    string numbers that may sound (empty: all the grip fingers). ``slide_frets`` glides the
    whole shape in from that many frets away (negative: from below) over ``glide_beats``;
    ``fall_frets`` slides off at the end; ``vibrato`` shakes a held chord.
    ``let_ring`` leaves strings undamped at the end of ``duration_beats``.
    """

    onset_beats: Fraction
    duration_beats: Fraction
    grip: Grip
    direction: str = "down"
    kind: str = "strum"
    velocity: float = 0.7
    strings: tuple[int, ...] = ()
    slide_frets: int = 0
    glide_beats: Fraction = Fraction(0)
    fall_frets: int = 0
    vibrato: bool = False
    let_ring: bool = False

    @property
    def is_bent(self) -> bool:
        """Whether the fretting hand changes the pitch of what sounds."""
        return bool(self.slide_frets or self.vibrato or self.fall_frets)


@dataclass(frozen=True, slots=True)
class Pluck:
    """One note of the bass or the melody: MIDI ``pitch``, with ``velocity`` 0 to 1."""

    onset_beats: Fraction
    duration_beats: Fraction
    pitch: int
    velocity: float = 0.7
    kind: str = "pluck"


@dataclass(frozen=True, slots=True)
class Hit:
    """One sound of the drums or the count.

    ``piece`` is one of ``ride ride_bell hat_pedal hat_closed hat_open brush_tap brush_sweep
    brush_slap kick snare side_stick sticks click_high click_low``.
    """

    onset_beats: Fraction
    piece: str
    velocity: float = 0.7
    duration_beats: Fraction = Fraction(1, 4)


Event = Stroke | Pluck | Hit


@dataclass(frozen=True, slots=True)
class PartScore:
    """Everything one part plays, ordered by onset.

    ``patterns`` names the pattern files that shaped it, such as ``strum/four``.
    """

    name: str
    events: tuple[Event, ...]
    instrument: str = ""
    patterns: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a beat: ``kind`` is ``section chord grip count`` or ``key``."""

    onset_beats: Fraction
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Score:
    """The whole arrangement as written: parts, tempo map, labels and total length in beats.

    ``count_in_beats`` is how far the count-in reaches before beat 0 (0 for none);
    ``end_beats`` is where the last bar ends.
    """

    title: str
    parts: tuple[PartScore, ...]
    tempo_map: TempoMap
    labels: tuple[Label, ...]
    count_in_beats: Fraction
    end_beats: Fraction
    meter: tuple[int, int] = (4, 4)
    key: str = "C"
    seed: int = 0
