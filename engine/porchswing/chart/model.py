"""The content of a chart as frozen records: header, sections, lanes, bars and slots.

Beats are quarter notes as exact fractions. A :class:`Chart` is what was written; a
:class:`Roadmap` (``porchswing.chart.roadmap``) is the same chart unrolled in playing order.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from fractions import Fraction

from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key

LANES = ("plain", "swing")
"""The two lanes that carry chords; ``melody`` carries the tune, ``words`` what is sung to it."""

GRIP_KINDS = ("closed", "open", "any")
"""Which grips may be chosen."""

Place = tuple[str, int, Fraction | int]
"""A place of a chart: section, bar from 1 as written, beat from 1 in units of the meter."""

CHORD_PLACES = ("strong", "bar", "all")
"""Where a chord is gripped under the tune: on strong beats, once a bar, under every note."""

MARKS = ("slide", "fall", "push", "hold", "roll", "chuck", "stop")
"""Playing marks allowed in braces after a chord."""

STYLES = (
    "medium swing",
    "ballad",
    "hot swing",
    "blues",
    "minor swing",
    "waltz",
    "bossa",
    "island vamp",
)
"""What ``style:`` may say."""

Frets = tuple[int | None, ...]
"""Frets from the highest-numbered string to string 1; ``None`` is a muted string."""


@dataclass(frozen=True, slots=True)
class SourcePlace:
    """A place in the source text; line and column count from 1."""

    line: int = 0
    column: int = 0
    width: int = 1


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter such as 4/4: ``count`` units of one ``unit``-th note in a bar (unit 4 or 8)."""

    count: int = 4
    unit: int = 4

    @property
    def bar_beats(self) -> Fraction:
        """Length of a bar in quarter-note beats."""
        return Fraction(4 * self.count, self.unit)

    @property
    def unit_beats(self) -> Fraction:
        """Length in quarter-note beats of the unit that chart tokens count (an eighth in n/8)."""
        return Fraction(4, self.unit)

    @property
    def is_compound(self) -> bool:
        """Whether the felt beat is a dotted quarter (6/8, 9/8, 12/8)."""
        return self.unit == 8 and self.count % 3 == 0 and self.count > 3

    @property
    def felt_beats(self) -> Fraction:
        """Length in quarter-note beats of the beat that a tempo counts: dotted in 6/8."""
        return Fraction(3, 2) if self.is_compound else Fraction(1)

    @property
    def click_beats(self) -> Fraction:
        """Length in quarter-note beats of the beat that is clicked: an eighth in 5/8."""
        return self.felt_beats if self.is_compound else self.unit_beats

    def __str__(self) -> str:
        """Return the meter as written, for example ``4/4``."""
        return f"{self.count}/{self.unit}"


@dataclass(frozen=True, slots=True)
class SwingSetting:
    """The value of ``swing:``: a fixed ``ratio`` from 1 to 4, or by tempo where it is ``None``."""

    ratio: Fraction | None = None


@dataclass(frozen=True, slots=True)
class LineTarget:
    """The string that should carry a line, and its direction (``down``, ``up`` or ``None``)."""

    string: int | None = None
    direction: str | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings in force over some bars; ``None`` means "not said here, look further out"."""

    strum: str | None = None
    bass: str | None = None
    drums: str | None = None
    swing: SwingSetting | None = None
    tempo_bpm: float | None = None
    line: LineTarget | None = None
    frets: tuple[int, int] | None = None
    style: str | None = None
    lane: str | None = None
    grips: str | None = None
    depth: int | None = None

    def over(self, outer: Settings) -> Settings:
        """Return these settings with what they leave open filled in from ``outer``."""
        return Settings(
            *(
                getattr(outer, field.name) if (mine := getattr(self, field.name)) is None else mine
                for field in fields(self)
            )
        )


@dataclass(frozen=True, slots=True)
class Slot:
    """One chord in a bar: ``chord`` (``None`` is N.C.), its length, grip lock and marks.

    ``fingers`` of a locked grip name the finger on every string, 0 for none; empty where the
    fingering is left open.
    """

    chord: Chord | None
    beats: Fraction
    lock: Frets | None = None
    marks: tuple[str, ...] = ()
    written: str = field(default="", compare=False)
    place: SourcePlace = field(default=SourcePlace(), compare=False)
    fingers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class MelodyNote:
    """One note of the melody lane: MIDI ``pitch`` (``None`` is a rest) and its length in beats."""

    pitch: int | None
    beats: Fraction
    written: str = field(default="", compare=False)
    place: SourcePlace = field(default=SourcePlace(), compare=False)


@dataclass(frozen=True, slots=True)
class Syllable:
    """One syllable of the words lane: where in its bar it is sung, in beats, and how long.

    ``is_joined`` is true where its word goes on in the next syllable. An empty ``text`` is a
    syllable of the bar before, held on.
    """

    at: Fraction
    beats: Fraction
    text: str
    is_joined: bool = False
    place: SourcePlace = field(default=SourcePlace(), compare=False)


Verse = tuple[tuple[Syllable, ...], ...]
"""The syllables of one verse, bar by bar."""


@dataclass(frozen=True, slots=True)
class Singer:
    """The lowest and the highest note of a voice, as MIDI note numbers."""

    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Bar:
    """One written bar of a chord lane.

    ``repeat_start`` is ``|:`` before it; ``repeat_times`` is how often the repeat that ends
    with this bar is played in all (0 where no repeat ends); ``ending`` is the number of the
    first or second ending this bar opens; ``is_percent`` is true where it was written ``%``;
    ``barline`` is the line after it.
    """

    slots: tuple[Slot, ...]
    repeat_start: bool = False
    repeat_times: int = 0
    ending: int | None = None
    is_percent: bool = False
    barline: str = "|"

    @property
    def beats(self) -> Fraction:
        """Length of the bar in quarter-note beats."""
        return sum((slot.beats for slot in self.slots), Fraction(0))


@dataclass(frozen=True, slots=True)
class SourceLine:
    """One line of a chart as it was typed, so that comments and layout are kept.

    ``kind`` is ``comment`` (blank lines too), ``header``, ``section``, ``setting`` or ``bars``;
    ``key`` is the key of a header or setting line or the lane of a line of bars, ``labelled``
    whether the lane's name was written. ``said`` is what the line meant: the canonical value,
    or the bars; the writer keeps the line as typed for as long as the chart still says it.
    """

    kind: str
    text: str
    key: str = ""
    labelled: bool = False
    said: str | tuple[Bar, ...] | tuple[tuple[MelodyNote, ...], ...] | Verse = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A named part of the tune: its lanes bar by bar and the settings written inside it.

    ``plain`` is the plain lane; ``swing`` is ``None`` where none was written; ``melody`` holds
    one tuple of notes a bar, ``words`` the verses. ``settings`` are pairs of the bar index
    (from 0) they start at and their values.
    """

    name: str
    plain: tuple[Bar, ...]
    swing: tuple[Bar, ...] | None = None
    melody: tuple[tuple[MelodyNote, ...], ...] | None = None
    settings: tuple[tuple[int, Settings], ...] = ()
    place: SourcePlace = field(default=SourcePlace(), compare=False)
    rows: tuple[SourceLine, ...] = field(default=(), compare=False, repr=False)
    words: tuple[Verse, ...] = ()

    def lane(self, name: str) -> tuple[Bar, ...]:
        """Return the bars of a lane; a section without a swing lane plays its plain one."""
        return self.swing if name == "swing" and self.swing is not None else self.plain


@dataclass(frozen=True, slots=True)
class Chart:
    """One tune: header and sections; ``tempo_bpm`` counts felt beats (dotted quarters in 6/8)."""

    title: str
    key: Key
    sections: tuple[Section, ...]
    meter: Meter = Meter()
    tempo_bpm: float = 120.0
    tuning: str = "gCEA"
    settings: Settings = Settings()
    form: tuple[str, ...] = ()
    intro: str | None = None
    ending: str | None = None
    by: str = ""
    notes: str = ""
    numbers: bool = False
    seed: int = 0
    singer: Singer | None = None
    file: str = field(default="<chart>", compare=False)
    rows: tuple[SourceLine, ...] = field(default=(), compare=False, repr=False)

    def __str__(self) -> str:
        """Return title, key, meter, tempo and form in one line."""
        sections = ", ".join(
            f"{section.name} ({len(section.plain)} bars)" for section in self.sections
        )
        return f"{self.title}: {self.key}, {self.meter}, {self.tempo_bpm:g} bpm; {sections}"

    def section(self, name: str) -> Section:
        """Return the section of that name."""
        for section in self.sections:
            if section.name == name:
                return section
        raise KeyError(name)
