r"""porchswing: from one text chart to swing grips, backing tracks, drills and handouts.

The public surface, a straight line from text to files:

>>> import porchswing as ps
>>> chart = ps.parse_chart("key: F\n[A]\n| F Dm | Gm C7 |")
>>> lead = ps.reharmonize(chart, depth=2)
>>> grips = ps.voice(lead, tuning="gCEA", line=4)
>>> take = ps.arrange(lead, grips, tempo=92, swing="auto", without="chords")
>>> print(take)
Untitled: bass, drums, count; 92 bpm, swing 2.5 : 1, 0:08
>>> take.midi_bytes()[:4], take.samples().shape[1]
(b'MThd', 2)

Beside these steps there are single questions (:func:`parse_chord`, :func:`grips_of`,
:func:`name_grip`, :func:`transpose`, :func:`unroll`), every record that a function takes or
returns, and every error.

Units: musical time in beats (quarter notes), clock time in seconds, pitch as MIDI note number
(60 is middle C), level in dB. Every error is a :class:`PorchswingError`; a value of the wrong
type is a :class:`WrongTypeError`.

Names are loaded when first used, so that importing the package costs almost nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from porchswing.version import __version__

if TYPE_CHECKING:
    # what type checkers read; _HOMES says the same to Python, and a test compares the two
    from porchswing.audio.master.audio_report import AudioReport as AudioReport
    from porchswing.band.score import (
        Hit as Hit,
        Label as Label,
        PartScore as PartScore,
        Pluck as Pluck,
        Score as Score,
        Stroke as Stroke,
    )
    from porchswing.chart.language.reader import (
        parse_chart as parse_chart,
        read_chart as read_chart,
    )
    from porchswing.chart.language.writer import write_chart as write_chart
    from porchswing.chart.model import (
        Bar as Bar,
        Chart as Chart,
        LineTarget as LineTarget,
        MelodyNote as MelodyNote,
        Meter as Meter,
        Section as Section,
        Settings as Settings,
        Singer as Singer,
        Slot as Slot,
        SourceLine as SourceLine,
        SourcePlace as SourcePlace,
        SwingSetting as SwingSetting,
        Syllable as Syllable,
    )
    from porchswing.chart.roadmap import PlayedBar as PlayedBar, Roadmap as Roadmap
    from porchswing.chart.transpose import transpose as transpose
    from porchswing.chart.unroll import unroll as unroll
    from porchswing.errors import (
        ChartError as ChartError,
        ChordSymbolError as ChordSymbolError,
        CourseError as CourseError,
        GripError as GripError,
        LeadSheetError as LeadSheetError,
        MissingExtraError as MissingExtraError,
        OptionError as OptionError,
        OutputError as OutputError,
        PatternError as PatternError,
        PorchswingError as PorchswingError,
        Problem as Problem,
        SetListError as SetListError,
        TuningError as TuningError,
        UnplayableError as UnplayableError,
        WrongTypeError as WrongTypeError,
    )
    from porchswing.file_formats import Tags as Tags
    from porchswing.grips.names.naming import (
        Naming as Naming,
        NearGrip as NearGrip,
        name_grip as name_grip,
    )
    from porchswing.grips.names.readings import Reading as Reading
    from porchswing.grips.search.voice import grips_of as grips_of, voice as voice
    from porchswing.grips.shapes.fingers import Fingering as Fingering, Press as Press
    from porchswing.grips.shapes.hand import (
        Ease as Ease,
        Hand as Hand,
        KnownShape as KnownShape,
        Weights as Weights,
    )
    from porchswing.grips.shapes.model import (
        Grip as Grip,
        Tuning as Tuning,
        VoicedSlot as VoicedSlot,
        Voicing as Voicing,
    )
    from porchswing.harmony.choice.lead import (
        Blocked as Blocked,
        LastTime as LastTime,
        Lead as Lead,
        Swap as Swap,
    )
    from porchswing.harmony.choice.reharmonize import reharmonize as reharmonize
    from porchswing.offered.choosing import (
        BarChords as BarChords,
        PlaceOffer as PlaceOffer,
        choose as choose,
    )
    from porchswing.offered.offering import (
        PlaceWords as PlaceWords,
        explain as explain,
        offers as offers,
    )
    from porchswing.options import (
        BandStyle as BandStyle,
        Choices as Choices,
        SoundSettings as SoundSettings,
    )
    from porchswing.performance.model import (
        Bend as Bend,
        Mark as Mark,
        Note as Note,
        PartPerformance as PartPerformance,
        Performance as Performance,
        TempoEvent as TempoEvent,
    )
    from porchswing.rhythm.tempo import TempoMap as TempoMap, TempoSegment as TempoSegment
    from porchswing.take import arrange as arrange, take_from_chart as take_from_chart
    from porchswing.take_model import Take as Take
    from porchswing.theory.chords import Chord as Chord, Quality as Quality
    from porchswing.theory.keys import Key as Key
    from porchswing.theory.notes import Degree as Degree, NoteName as NoteName
    from porchswing.theory.symbols import parse_chord as parse_chord

_HOMES = {
    "chart.language.reader": "read_chart parse_chart",
    "chart.language.writer": "write_chart",
    "chart.transpose": "transpose",
    "chart.unroll": "unroll",
    "harmony.choice.reharmonize": "reharmonize",
    "grips.search.voice": "voice grips_of",
    "take": "arrange take_from_chart",
    "take_model": "Take",
    "options": "Choices BandStyle SoundSettings",
    "theory.symbols": "parse_chord",
    "offered.offering": "offers explain PlaceWords",
    "offered.choosing": "choose PlaceOffer BarChords",
    "grips.names.naming": "name_grip Naming NearGrip",
    "chart.model": (
        "Chart Section Bar Slot MelodyNote Settings SwingSetting LineTarget Meter SourceLine "
        "SourcePlace Syllable Singer"
    ),
    "chart.roadmap": "Roadmap PlayedBar",
    "file_formats": "Tags",
    "theory.chords": "Chord Quality",
    "theory.keys": "Key",
    "theory.notes": "NoteName Degree",
    "harmony.choice.lead": "Lead Swap Blocked LastTime",
    "grips.shapes.model": "Voicing VoicedSlot Grip Tuning",
    "grips.shapes.hand": "Hand Weights Ease KnownShape",
    "grips.shapes.fingers": "Fingering Press",
    "grips.names.readings": "Reading",
    "band.score": "Score PartScore Stroke Pluck Hit Label",
    "rhythm.tempo": "TempoMap TempoSegment",
    "performance.model": "Performance PartPerformance Note Bend TempoEvent Mark",
    "audio.master.audio_report": "AudioReport",
    "errors": (
        "PorchswingError ChartError Problem ChordSymbolError CourseError GripError "
        "LeadSheetError MissingExtraError OptionError OutputError PatternError SetListError "
        "TuningError UnplayableError WrongTypeError"
    ),
}
"""The public names by the module of porchswing that each one comes from: steps, records, errors."""

_HOME = {name: home for home, names in _HOMES.items() for name in names.split()}

__all__ = ["__version__", *_HOME]

if not TYPE_CHECKING:  # or every name, misspelled ones too, would have a type

    def __getattr__(name: str) -> object:
        """Load a public name from its home module when it is first used."""
        if name not in _HOME:
            raise AttributeError(f"module 'porchswing' has no attribute {name!r}")
        value = getattr(import_module(f"porchswing.{_HOME[name]}"), name)
        globals()[name] = value
        return value


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
