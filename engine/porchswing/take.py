"""The road from a chart to a take.

:func:`arrange` is the library's step from a lead and its grips to a :class:`Take`;
:func:`take_from_chart` goes the whole way from a chart and a teacher's
:class:`~porchswing.options.Choices`, and is what every command, lesson and course uses.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from porchswing.audio.synth.voices import PLUCKED
from porchswing.band.score import Score
from porchswing.chart.model import Chart, SwingSetting
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.errors import OptionError, check_types
from porchswing.file_formats import Tags
from porchswing.grips.shapes.model import Tuning, Voicing
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize, swing_lane
from porchswing.harmony.passage.keyfinder import with_key_heard
from porchswing.option_kinds import swing_setting
from porchswing.options import DEFAULTS, BandStyle, Choices
from porchswing.take_model import Take, names_of, with_parts

if TYPE_CHECKING:
    from porchswing.grips.melody.solo_notes import Solo

KEPT = 8
"""How many leads and voicings are kept, for the other takes of a lesson or a course."""


def arrange(
    lead: Lead | Chart,
    grips: Voicing,
    *,
    tempo: float | None = None,
    swing: SwingSetting | float | str | None = None,
    without: str | Sequence[str] = (),
    only: str | Sequence[str] = (),
    section: str | None = None,
    bars: tuple[int, int] | None = None,
    choruses: int = DEFAULTS.choruses,
    seed: int | None = None,
    humanize: float = DEFAULTS.humanize,
    style: BandStyle | None = None,
) -> Take:
    """Return the take of a lead: arranged for the band with its grips, and performed.

    Parameters
    ----------
    lead
        What :func:`reharmonize` returned, or a chart.
    grips
        What :func:`voice` returned for it; its lane is the lane that is played.
    tempo
        Felt beats a minute, 30 to 400 (default: the chart's).
    swing
        A ratio, or a text as charts write it: ``2:1``, ``66%``, ``straight``, ``auto``.
    without, only
        Parts to leave out, or the only parts to play; one name may be given by itself.
    section
        The only section to play.
    bars
        First and last bar to play, from 1.
    choruses
        How often the form is played.
    seed
        Random seed; it overrides the chart's.
    humanize
        Human timing and touch, 0 (on the grid) to 1.
    style
        Everything else about how the band plays.

    Returns
    -------
    Take
        The score, its performance and the choices that made it.

    Raises
    ------
    OptionError
        For a value out of range, an unknown part or section, or no part left to play.
    """
    check_types(
        lead=(lead, Lead, Chart), grips=(grips, Voicing), tempo=(tempo, int, float, None),
        swing=(swing, SwingSetting, int, float, str, None), style=(style, BandStyle, None),
    )  # fmt: skip
    asked = {
        "swing": None if swing is None else swing_setting(swing),
        "tempo_bpm": tempo,
        "seed": seed,
    }
    given: dict[str, Any] = {name: value for name, value in asked.items() if value is not None}
    choices = Choices(
        lane=grips.lane,
        section=section,
        bars=bars,
        choruses=choruses,
        without=names_of("without", without),
        only=names_of("only", only),
        humanize=humanize,
        style=replace(style or BandStyle(), **given),
    )
    lead = lead if isinstance(lead, Lead) else Lead(lead)
    return _walk(lead.chart, choices, lead=lead, grips=grips)


def take_from_chart(chart: Chart, choices: Choices) -> Take:
    """Return the take of a chart: transposed, reharmonised, voiced, arranged and performed.

    Parameters
    ----------
    chart
        The chart.
    choices
        How it is played; the defaults are those of the command line.

    Returns
    -------
    Take
        The score, its performance and the choices that made it.

    Raises
    ------
    OptionError
        For a key, swap, section or voice that is unknown, or no part left to play.
    GripError
        Where a chord cannot be gripped within the limits.
    """
    check_types(chart=(chart, Chart), choices=(choices, Choices))
    return _walk(chart, choices)


def take_of_lead(lead: Lead, choices: Choices) -> Take:
    """Return the take of :func:`take_from_chart` from the lead of :func:`lead_of`, kept by it."""
    return _walk(lead.chart, choices, lead=lead)


def _walk(
    chart: Chart,
    choices: Choices,
    *,
    lead: Lead | None = None,
    grips: Voicing | None = None,
    roadmap: Roadmap | None = None,
    change: Callable[[Score], Score] | None = None,
) -> Take:
    """Return a take: the whole road, step by step; a step whose result is given is left out."""
    from porchswing.band.compose import compose_score, seeded
    from porchswing.performance.perform import perform

    # 1. harmony: the key asked for, and the swing lane where it is played
    lead = lead_of(chart, choices, is_named=False) if lead is None else lead
    chart = lead.chart

    # 2. grips: the best way through the changes
    grips = choose_grips(lead, choices) if grips is None else grips

    # 3. form: the bars in playing order
    roadmap = _road_with_melody(chart, choices) if roadmap is None else roadmap

    # 4. band: the whole score
    style = seeded(choices.style, chart)
    extra = choices.extra_parts
    score = compose_score(
        chart,
        roadmap,
        grips,
        style,
        extra_parts=extra,
        line_string=choices.line.string if choices.line else None,
        solo=choose_solo(lead, choices) if "solo" in extra else None,
        together=choices.together,
    )

    # 5. choices of parts and voice
    score = with_parts(score, choices.left_out, choices.only)
    if choices.voice is not None:
        score = _with_voice(score, choices.voice)
    if change is not None:
        score = change(score)

    # 6. performance: swing, spread over the strings, human timing
    performance = perform(score, humanize=choices.humanize)
    return Take(score, performance, replace(choices, style=style), Tags(chart.title, chart.by))


def lead_of(chart: Chart, choices: Choices, *, is_named: bool = True) -> Lead:
    """Return the lead in the key asked for; its swing lane is made where that lane is played.

    The names of its swaps, which nobody hears, come where it ``is_named``.
    """
    if choices.key is not None:
        from porchswing.chart.transpose import transpose

        chart = transpose(with_key_heard(chart), choices.key)
    if choices.lane != "swing":
        return Lead(chart)
    wishes = (choices.depth, choices.use, choices.avoid)
    if not is_named:
        return Lead(_swing_lane(chart, *wishes, together=choices.together))
    lead = _swing_lead(_unnamed(chart), *wishes, together=choices.together)
    return replace(lead, chart=replace(chart, form=lead.chart.form, sections=lead.chart.sections))


def _unnamed(chart: Chart) -> Chart:
    """Return a chart without the words that change no note, for what is kept from tune to tune."""
    return replace(chart, title="", by="", notes="")


# the same at every tempo and in every mix
_swing_lane = lru_cache(maxsize=KEPT)(swing_lane)
_swing_lead = lru_cache(maxsize=KEPT)(reharmonize)


def lead_and_grips(chart: Chart, choices: Choices) -> tuple[Lead, Voicing]:
    """Return the lead and the grips chosen for it."""
    lead = lead_of(chart, choices)
    return lead, choose_grips(lead, choices)


def choose_grips(lead: Lead, choices: Choices) -> Voicing:
    """Return the grips chosen for a lead, importing the search (and numpy) only now."""
    chart = replace(_unnamed(lead.chart), tempo_bpm=1.0, seed=0)
    return _grips(chart, **choices.grip_wishes | {"tuning": strung(lead.chart, choices)})


def strung(chart: Chart, choices: Choices) -> Tuning | str | None:
    """Return the tuning asked for, as a left-handed player sees it where that is asked for."""
    if not choices.left_handed:
        return choices.tuning
    from porchswing.grips.shapes.tunings import tuning

    return replace(tuning(choices.tuning or chart.tuning), is_left_handed=True)


@lru_cache(maxsize=KEPT)
def _grips(chart: Chart, **wishes: Any) -> Voicing:
    """Return the grips for a chart, the same at every tempo and in every mix."""
    from porchswing.grips.search.voice import voice

    return voice(chart, **wishes)


def choose_solo(lead: Lead, choices: Choices) -> Solo:
    """Return the tune of a lead on top of its grips, importing the search only now."""
    from porchswing.grips.melody.solo import solo

    return solo(lead, chords=choices.chord_places, **choices.grip_wishes)


def take_along(
    chart: Chart,
    roadmap: Roadmap,
    grips: Voicing,
    choices: Choices,
    *,
    change: Callable[[Score], Score] | None = None,
) -> Take:
    """Return the take of a roadmap that is given, for drills with bars in another order.

    ``choices`` says how it is played and which parts; its section, bars and choruses are
    ignored: the roadmap already fixes them. ``change`` is what becomes of the score before it is
    performed.
    """
    return _walk(chart, choices, lead=Lead(chart), grips=grips, roadmap=roadmap, change=change)


def road_of(chart: Chart, choices: Choices) -> Roadmap:
    """Return the bars that the choices ask for, in playing order."""
    return unroll(
        chart,
        lane=choices.lane,
        choruses=choices.choruses,
        sections=(choices.section,) if choices.section else None,
        bars=choices.bars,
    )


def _road_with_melody(chart: Chart, choices: Choices) -> Roadmap:
    """Return the bars that the choices ask for; raise where the melody asked for is missing."""
    roadmap = road_of(chart, choices)
    wants_tune = {"melody", "solo"} & {*choices.extra_parts}
    if wants_tune and not any(bar.melody for bar in roadmap.bars):
        raise OptionError(
            "there is no melody here to play: it is a lane of the chart, "
            "such as melody | A4:2 C5:1 r:1 |"
        )
    return roadmap


def _with_voice(score: Score, voice: str) -> Score:
    """Return the score with chords and line on another instrument."""
    if voice not in PLUCKED:
        raise OptionError(f"unknown voice {voice!r}; voices are {', '.join(PLUCKED)}")
    parts = (
        replace(part, instrument=voice) if part.name in ("chords", "line", "solo") else part
        for part in score.parts
    )
    return replace(score, parts=tuple(parts))
