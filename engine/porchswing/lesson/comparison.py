"""Compare: the same bars as a beginner plays them and as we do, back to back, equally loud.

Both lanes are whole takes of their own (open grips in the plain lane, closed in the swing
lane). Each is brought to the same integrated loudness (ITU-R BS.1770) before they are set one
after another, two clicks before each, always at one level; the clicks are no part of the measure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING

from porchswing.chart.model import LANES, Chart, LineTarget, Section, Settings
from porchswing.chart.unroll import form_of
from porchswing.errors import OptionError
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.grips.drawings.lines import best_line
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.swaps.catalogue import OWN
from porchswing.options import Choices
from porchswing.performance.concatenate import clicks, join, named
from porchswing.performance.model import Performance
from porchswing.recording import write_performance
from porchswing.take import lead_and_grips, lead_of, road_of, take_along, take_from_chart
from porchswing.units import db_to_gain

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from porchswing.audio.master.audio_report import AudioReport

MAX_TIMES = 20
"""Most times a pair of lanes may be repeated."""

MAX_COMPARE_S = 1200.0
"""Longest comparison in seconds; its samples are held in memory."""

CLICKS_BELOW_LU = 10.0
"""How far the clicks lie under what they count in, whatever plays (ours)."""

CONTEXT_BARS = 1
"""Bars of context on either side of a swap that is heard by itself."""

_NAMES = {"plain": "plain lane, as written", "swing": "swing lane"}


@dataclass(frozen=True, slots=True)
class Piece:
    """One take in a comparison: what it is called and what is played."""

    name: str
    performance: Performance


@dataclass(frozen=True, slots=True)
class Comparison:
    """Pieces in playing order, each after its clicks; ``performance`` is all of it as one."""

    title: str
    clicks: Performance
    pieces: tuple[Piece, ...]
    performance: Performance
    choices: Choices
    tags: Tags = NO_TAGS

    @property
    def starts_s(self) -> tuple[float, ...]:
        """Seconds from the beginning at which each piece (after its clicks) starts."""
        lengths = (self.clicks.end_s + piece.performance.end_s for piece in self.pieces[:-1])
        return tuple(at_s + self.clicks.end_s for at_s in accumulate(lengths, initial=0.0))

    def write(self, paths: Sequence[Path], tags: Tags | None = None) -> AudioReport | None:
        """Write MIDI and sound by suffix, every piece at the same integrated loudness."""
        return write_performance(
            self.performance,
            paths,
            self.choices.sound,
            tags=tags or self.tags,
            samples=partial(matched_samples, self),
        )


def compare(chart: Chart, choices: Choices, times: int = 1) -> Comparison:
    """Return the plain lane, then the swing lane, of the same bars, ``times`` over.

    Without a section or bars asked for, every section of the form comes once, its two lanes
    next to each other.
    """
    pieces = _pairs(chart, choices, times, _piece)
    return _comparison(f"{chart.title}: plain and swing", chart, choices, pieces)


def compare_line(chart: Chart, choices: Choices, times: int = 1) -> Comparison:
    """Return what one string plays in the plain lane's grips, then in the swing lane's.

    The line asked for shapes the grips of the swing lane alone: the plain lane's stay those that
    the beginner plays. ``choices`` are those of :func:`with_line_heard`.
    """
    assert choices.line is not None
    string = choices.line.string

    def piece(chart: Chart, choices: Choices, lane: str) -> Piece:
        own = _lane_choices(choices, lane)
        lead, grips = lead_and_grips(chart, own if lane == "swing" else replace(own, line=None))
        own = replace(own, line=LineTarget(string))
        take = take_along(lead.chart, road_of(lead.chart, own), grips, own)
        return _named(f"{_NAMES[lane]}, string {string}", choices, take.performance)

    title = f"{chart.title}: string {string}, plain and swing"
    return _comparison(title, chart, choices, _pairs(chart, choices, times, piece))


def with_line_heard(chart: Chart, choices: Choices) -> Choices:
    """Return the choices with a string's line among what is heard, alone where no part is named.

    The string is that of the line asked for, else the one with the best line in the swing lane.
    """
    line = choices.line or LineTarget()
    if line.string is None:
        _, swung = lead_and_grips(chart, replace(choices, lane="swing"))
        best = best_line(swung, choices.section)
        line = replace(line, string=best.string if best else 1)
    names_parts = choices.only or choices.also or choices.without
    heard = {"also": (*choices.also, "line")} if names_parts else {"only": ("line",)}
    return replace(choices, line=line, **heard)


def _pairs(
    chart: Chart, choices: Choices, times: int, piece: Callable[[Chart, Choices, str], Piece]
) -> list[Piece]:
    """Return both lanes of what is asked for, of every section of the form where it is the tune."""
    if not 1 <= times <= MAX_TIMES:
        raise OptionError(f"times must be 1 to {MAX_TIMES}, got {times}")
    is_cut = choices.section is not None or choices.bars is not None
    sections = [choices.section] if is_cut else dict.fromkeys(form_of(chart))
    pairs = (
        [piece(chart, replace(choices, section=section), lane) for lane in LANES]
        for section in sections
    )
    return [each for pair in pairs for each in pair * times]


def compare_in_context(chart: Chart, choices: Choices, times: int = 1) -> Comparison:
    """Return a section after the one before it: kept plain after swing first, then swung.

    Both are one take each, so nothing but the section's own lane differs.

    Raises
    ------
    OptionError
        Where no section is asked for, or none comes before it in the form.
    """
    form, section = form_of(chart), choices.section
    if section is None or section not in form[1:]:
        what = "a section" if section is None else f"a section before {section}"
        raise OptionError(f"a comparison in context needs {what}; the form is {' '.join(form)}")
    before = form[form.index(section, 1) - 1]
    swung = _lane_choices(choices, "swing")
    whole = replace(lead_of(chart, swung).chart, intro=None, ending=None)
    own = replace(swung, key=None, section=None, bars=None)
    pair = []
    for lane in LANES:
        alone = replace(_with_lane(whole, section, lane), form=(before, section))
        name = f"{before} {_NAMES['swing']}, {section} {_NAMES[lane]}"
        pair.append(Piece(name, named(take_from_chart(alone, own).performance, name)))
    title = f"{chart.title}: {section} after {before}, plain and swing"
    return _comparison(title, chart, choices, pair * times)


def _with_lane(chart: Chart, section: str, lane: str) -> Chart:
    """Return a chart of which one section plays a lane throughout."""

    def said(each: Section) -> Section:
        rows = {0: Settings(), **dict(each.settings)}
        return replace(
            each, settings=tuple((bar, replace(rows[bar], lane=lane)) for bar in sorted(rows))
        )

    return replace(
        chart, sections=tuple(said(s) if s.name == section else s for s in chart.sections)
    )


def compare_swap(chart: Chart, choices: Choices, swap: Swap, times: int = 1) -> Comparison:
    """Return one swap by itself: its bars and their neighbours without it, then with it alone.

    Raises
    ------
    OptionError
        When the swap cannot be heard by itself (it needs another swap to be possible).
    """
    alone = alone_lead(chart, swap)
    bars = len(chart.section(swap.section).plain)
    first = max(1, swap.bar - CONTEXT_BARS)
    last = min(bars, swap.bar + swap.bars - 1 + CONTEXT_BARS)
    cut = replace(choices, section=swap.section, bars=(first, last), depth=0)
    pair = [_piece(alone.chart, cut, lane) for lane in LANES]
    return _comparison(f"{chart.title}: {swap.name}", chart, cut, pair * times)


def alone_lead(chart: Chart, swap: Swap) -> Lead:
    """Return the lead in which this swap's row is the only one at work."""
    plain = replace(
        chart, sections=tuple(replace(each, swing=None, rows=()) for each in chart.sections)
    )
    lead = reharmonize(plain, depth=0, use=() if swap.name == OWN.name else (swap.name,))
    if not any(
        (s.section, s.bar, s.name) == (swap.section, swap.bar, swap.name) for s in lead.swaps
    ):
        raise OptionError(f"{swap.name} in section {swap.section} cannot be heard by itself")
    return lead


def lone_swaps(chart: Chart, lead: Lead, section: str | None = None) -> tuple[Swap, ...]:
    """Return one swap of each name in the lead, the first place where it can be heard by itself.

    ``section`` looks in one section only.
    """
    found: dict[str, Swap] = {}
    for swap in lead.swaps:
        if swap.name in found or section not in (None, swap.section):
            continue
        try:
            alone_lead(chart, swap)
        except OptionError:
            continue
        found[swap.name] = swap
    return tuple(found.values())


def _piece(chart: Chart, choices: Choices, lane: str) -> Piece:
    take = take_from_chart(chart, _lane_choices(choices, lane))
    return _named(_NAMES[lane], choices, take.performance)


def _named(words: str, choices: Choices, performance: Performance) -> Piece:
    name = " ".join(filter(None, (choices.section, words)))
    return Piece(name, named(performance, name))


def _lane_choices(choices: Choices, lane: str) -> Choices:
    """Return the choices for one lane of a comparison: no count-in, no slowing down."""
    style = replace(choices.style, count_in_bars=0, ritardando=0.0, loop=False)
    return replace(choices, lane=lane, style=style)


def _comparison(title: str, chart: Chart, choices: Choices, pieces: Sequence[Piece]) -> Comparison:
    first = pieces[0].performance
    pulse = clicks(chart.meter, 60e6 / first.tempo_events[0].us_per_quarter)
    length_s = sum(pulse.end_s + piece.performance.end_s for piece in pieces)
    if length_s > MAX_COMPARE_S:
        raise OptionError(
            f"a comparison may last {MAX_COMPARE_S / 60:g} minutes, this one would last "
            f"{length_s / 60:.1f}; ask for a section, bars, or fewer times"
        )
    in_order = [part for piece in pieces for part in (pulse, piece.performance)]
    whole = replace(join(in_order, title), key=first.key, seed=first.seed)
    return Comparison(title, pulse, tuple(pieces), whole, choices, Tags(title, chart.by))


def matched_samples(comparison: Comparison) -> NDArray[np.float32]:
    """Return the sound, float32 of shape (frames, 2), every piece at the loudness asked for.

    A piece rings on over what follows it, as it does in the room.
    """
    import numpy as np

    rate_hz, target_lufs = comparison.choices.sound.rate_hz, comparison.choices.sound.loudness_lufs
    below_lufs = None if target_lufs is None else target_lufs - CLICKS_BELOW_LU
    pulse = _sound_at(below_lufs, comparison.clicks, rate_hz)
    sounds = {
        id(piece.performance): _sound_at(target_lufs, piece.performance, rate_hz)
        for piece in comparison.pieces
    }
    click_frames = round(comparison.clicks.end_s * rate_hz)
    starts = [round(start_s * rate_hz) for start_s in comparison.starts_s]
    last = sounds[id(comparison.pieces[-1].performance)]
    whole = np.zeros((starts[-1] + max(len(last), 1), 2), np.float32)
    for start, piece in zip(starts, comparison.pieces, strict=True):
        _add(whole, pulse, start - click_frames)
        _add(whole, sounds[id(piece.performance)], start)
    return whole


def _sound_at(
    target_lufs: float | None, performance: Performance, rate_hz: int
) -> NDArray[np.float32]:
    """Return the sound of a performance at a loudness; silence stays as it is."""
    import numpy as np

    from porchswing.audio.master.loudness import gain_reaching, step_energies
    from porchswing.audio.master.true_peak import planar_of
    from porchswing.audio.mix.mixdown import render_blocks

    sound = np.concatenate(list(render_blocks(performance, rate_hz)))
    if target_lufs is None:
        return sound
    gain_db = gain_reaching(step_energies(planar_of(sound), rate_hz), target_lufs)
    return sound * np.float32(db_to_gain(gain_db))


def _add(whole: NDArray[np.float32], sound: NDArray[np.float32], start: int) -> None:
    end = min(len(whole), start + len(sound))
    whole[start:end] += sound[: end - start]
