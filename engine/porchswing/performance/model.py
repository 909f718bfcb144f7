"""Performed music: notes with integer ticks and the seconds that follow from them.

Time starts at 0 with the first event of the count-in (or of the music without one).
``onset_ticks`` and ``end_ticks`` are whole ticks at
:data:`porchswing.units.TICKS_PER_BEAT`; ``onset_s`` and ``end_s`` are exactly what the tempo
table gives for those ticks, so MIDI and audio can never disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Bend:
    """One point of a glide: ``offset_s`` after the note's onset, ``semitones`` from its pitch.

    Linear from point to point; the first holds before itself, the last after itself.
    """

    offset_s: float
    semitones: float


@dataclass(frozen=True, slots=True)
class Note:
    """One performed sound.

    ``pitch`` is a MIDI note number (for drums and count: the General MIDI percussion key);
    ``velocity`` 1 to 127; ``string`` and ``fret`` where a fretted instrument plays it;
    ``touch`` says how it sounds and ends: ``ring`` (left to decay), ``damp`` (stopped at its
    end), ``chuck`` (damped at once), ``slur`` (no pluck), ``mute`` (pitchless scratch).
    ``piece`` names the drum sound. ``beats`` is the written, unswung onset and ``offset_s``
    the spread and human deviation added after swing, so that other players (the practice
    page) can perform the same note at another tempo. ``brightness`` is how much brighter the
    hand strikes than its loudness says, in loudness layers of the synth.
    """

    onset_ticks: int
    end_ticks: int
    onset_s: float
    end_s: float
    pitch: int
    velocity: int
    string: int | None = None
    fret: int | None = None
    touch: str = "damp"
    piece: str | None = None
    bends: tuple[Bend, ...] = ()
    beats: Fraction = Fraction(0)
    beats_end: Fraction = Fraction(0)
    offset_s: float = 0.0
    brightness: float = 0.0


@dataclass(frozen=True, slots=True)
class PartPerformance:
    """One part played: its ``name`` (chords, bass, …), ``instrument`` voice, notes by onset."""

    name: str
    instrument: str
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class TempoEvent:
    """A tempo change of the MIDI conductor track: whole microseconds per quarter."""

    tick: int
    us_per_quarter: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A text at a moment: ``kind`` is ``section chord grip count`` or ``key``."""

    tick: int
    seconds: float
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Performance:
    """The whole take: parts, tempo events, marks, and where the music ends.

    ``music_start_s`` is where the first bar of music starts (after the count-in);
    ``end_s`` is where the last bar ends (sound may ring on after it).
    """

    title: str
    parts: tuple[PartPerformance, ...]
    tempo_events: tuple[TempoEvent, ...]
    marks: tuple[Mark, ...]
    end_ticks: int
    end_s: float
    music_start_s: float = 0.0
    meter: tuple[int, int] = (4, 4)
    key: str = "C"
    seed: int = 0

    @property
    def count_in_marks(self) -> tuple[Mark, ...]:
        """The numbers counted before the music."""
        counts = (mark for mark in self.marks if mark.kind == "count")
        return tuple(mark for mark in counts if mark.seconds < self.music_start_s)

    def part(self, name: str) -> PartPerformance:
        """Return the part of that name."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)
