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

Beside these steps stand single questions (:func:`parse_chord`, :func:`grips_of`,
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
    from porchswing.band.score import Hit as Hit
    from porchswing.band.score import Label as Label
    from porchswing.band.score import PartScore as PartScore
    from porchswing.band.score import Pluck as Pluck
    from porchswing.band.score import Score as Score
    from porchswing.band.score import Stroke as Stroke
    from porchswing.chart.language.reader import parse_chart as parse_chart
    from porchswing.chart.language.reader import read_chart as read_chart
    from porchswing.chart.language.writer import write_chart as write_chart
    from porchswing.chart.model import Bar as Bar
    from porchswing.chart.model import Chart as Chart
    from porchswing.chart.model import LineTarget as LineTarget
    from porchswing.chart.model import MelodyNote as MelodyNote
    from porchswing.chart.model import Meter as Meter
    from porchswing.chart.model import Section as Section
    from porchswing.chart.model import Settings as Settings
    from porchswing.chart.model import Singer as Singer
    from porchswing.chart.model import Slot as Slot
    from porchswing.chart.model import SourceLine as SourceLine
    from porchswing.chart.model import SourcePlace as SourcePlace
    from porchswing.chart.model import SwingSetting as SwingSetting
    from porchswing.chart.model import Syllable as Syllable
    from porchswing.chart.roadmap import PlayedBar as PlayedBar
    from porchswing.chart.roadmap import Roadmap as Roadmap
    from porchswing.chart.transpose import transpose as transpose
    from porchswing.chart.unroll import unroll as unroll
    from porchswing.errors import ChartError as ChartError
    from porchswing.errors import ChordSymbolError as ChordSymbolError
    from porchswing.errors import CourseError as CourseError
    from porchswing.errors import GripError as GripError
    from porchswing.errors import LeadSheetError as LeadSheetError
    from porchswing.errors import MissingExtraError as MissingExtraError
    from porchswing.errors import OptionError as OptionError
    from porchswing.errors import OutputError as OutputError
    from porchswing.errors import PatternError as PatternError
    from porchswing.errors import PorchswingError as PorchswingError
    from porchswing.errors import Problem as Problem
    from porchswing.errors import SetListError as SetListError
    from porchswing.errors import TuningError as TuningError
    from porchswing.errors import UnplayableError as UnplayableError
    from porchswing.errors import WrongTypeError as WrongTypeError
    from porchswing.file_formats import Tags as Tags
    from porchswing.grips.grips_of import grips_of as grips_of
    from porchswing.grips.names.naming import Naming as Naming
    from porchswing.grips.names.naming import name_grip as name_grip
    from porchswing.grips.names.near_grips import NearGrip as NearGrip
    from porchswing.grips.names.readings import Reading as Reading
    from porchswing.grips.search.voice import voice as voice
    from porchswing.grips.shapes.fingers import Fingering as Fingering
    from porchswing.grips.shapes.fingers import Press as Press
    from porchswing.grips.shapes.hand import Ease as Ease
    from porchswing.grips.shapes.hand import Hand as Hand
    from porchswing.grips.shapes.hand import Weights as Weights
    from porchswing.grips.shapes.known_shapes import KnownShape as KnownShape
    from porchswing.grips.shapes.model import Grip as Grip
    from porchswing.grips.shapes.model import Tuning as Tuning
    from porchswing.grips.shapes.model import VoicedSlot as VoicedSlot
    from porchswing.grips.shapes.model import Voicing as Voicing
    from porchswing.harmony.choice.lead import Blocked as Blocked
    from porchswing.harmony.choice.lead import LastTime as LastTime
    from porchswing.harmony.choice.lead import Lead as Lead
    from porchswing.harmony.choice.lead import Swap as Swap
    from porchswing.harmony.choice.reharmonize import reharmonize as reharmonize
    from porchswing.offered.choosing import choose as choose
    from porchswing.offered.explaining import PlaceWords as PlaceWords
    from porchswing.offered.explaining import explain as explain
    from porchswing.offered.offer import BarChords as BarChords
    from porchswing.offered.offer import PlaceOffer as PlaceOffer
    from porchswing.offered.offering import offers as offers
    from porchswing.options import BandStyle as BandStyle
    from porchswing.options import Choices as Choices
    from porchswing.options import SoundSettings as SoundSettings
    from porchswing.performance.model import Bend as Bend
    from porchswing.performance.model import Mark as Mark
    from porchswing.performance.model import Note as Note
    from porchswing.performance.model import PartPerformance as PartPerformance
    from porchswing.performance.model import Performance as Performance
    from porchswing.performance.model import TempoEvent as TempoEvent
    from porchswing.rhythm.tempo import TempoMap as TempoMap
    from porchswing.rhythm.tempo import TempoSegment as TempoSegment
    from porchswing.take import arrange as arrange
    from porchswing.take import take_from_chart as take_from_chart
    from porchswing.take_model import Take as Take
    from porchswing.theory.chords import Chord as Chord
    from porchswing.theory.chords import Quality as Quality
    from porchswing.theory.keys import Key as Key
    from porchswing.theory.notes import Degree as Degree
    from porchswing.theory.notes import NoteName as NoteName
    from porchswing.theory.symbols import parse_chord as parse_chord

_HOMES = {
    "chart.language.reader": "read_chart parse_chart",
    "chart.language.writer": "write_chart",
    "chart.transpose": "transpose",
    "chart.unroll": "unroll",
    "harmony.choice.reharmonize": "reharmonize",
    "grips.search.voice": "voice",
    "take": "arrange take_from_chart",
    "take_model": "Take",
    "options": "Choices BandStyle SoundSettings",
    "theory.symbols": "parse_chord",
    "grips.grips_of": "grips_of",
    "offered.offering": "offers",
    "offered.choosing": "choose",
    "offered.explaining": "explain PlaceWords",
    "offered.offer": "PlaceOffer BarChords",
    "grips.names.naming": "name_grip Naming",
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
    "grips.shapes.hand": "Hand Weights Ease",
    "grips.shapes.fingers": "Fingering Press",
    "grips.shapes.known_shapes": "KnownShape",
    "grips.names.readings": "Reading",
    "grips.names.near_grips": "NearGrip",
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
