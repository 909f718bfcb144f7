"""Unrolling a chart: intro, choruses and ending, repeats and endings, bar after bar.

A section that comes again is sung to its next verse. Where a chorus comes to a section as often as
it has verses, each time has one verse, and they start over after the last. Otherwise every verse
is printed at every time, as songs are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

from porchswing.chart.language.problems import nearest
from porchswing.chart.language.repeats import playing_order
from porchswing.chart.limits import MAX_CHORUSES, MAX_PLAYED_BARS
from porchswing.chart.model import LANES, Chart, Section, Settings, Syllable
from porchswing.chart.roadmap import PlayedBar, Roadmap, Visit
from porchswing.errors import OptionError, check_one_of, check_types

_T = TypeVar("_T")

LAST_TIME = "-last"
"""What ends the name of a section that is played the last time only: ``A-last`` for ``A``."""


def unroll(
    chart: Chart,
    lane: str = "plain",
    choruses: int = 1,
    sections: Sequence[str] | None = None,
    bars: tuple[int, int] | None = None,
) -> Roadmap:
    r"""Return one lane of a chart in playing order.

    Parameters
    ----------
    chart
        The chart.
    lane
        ``plain`` or ``swing``; a section without a swing lane plays its plain one.
    choruses
        How often the form is played; intro and ending come once.
    sections
        Play only these, in this order, each once a chorus; no intro and no ending.
    bars
        First and last bar, counted from 1. With ``sections`` the bars as written in each
        section, without repeats; otherwise the bars of one chorus as it is played.

    Returns
    -------
    Roadmap
        Every bar in playing order, its start in quarter-note beats from the first bar of music.

    Raises
    ------
    OptionError
        For an unknown section, bars that are not there, or more than the limits allow.

    Examples
    --------
    >>> from porchswing.chart.language.reader import parse_chart
    >>> chart = parse_chart("[A]\n|: F |1 C7 :|2 F |")
    >>> [bar.slots[0].chord.symbol for bar in unroll(chart).bars]
    ['F', 'C7', 'F', 'F']
    """
    check_types(
        chart=(chart, Chart), lane=(lane, str), choruses=(choruses, int), bars=(bars, tuple, None)
    )
    if isinstance(sections, str):
        sections = (sections,)
    check_types(sections=(sections, Sequence, None))
    check_one_of("lane", lane, LANES)
    if not 1 <= choruses <= MAX_CHORUSES:
        raise OptionError(f"choruses must be 1 to {MAX_CHORUSES}, got {choruses}")
    chorus = _selected(chart, sections, bars)
    count = choruses * sum(len(indices) for _, indices in chorus)
    if count > MAX_PLAYED_BARS:
        raise OptionError(
            f"at most {MAX_PLAYED_BARS:,} bars are played, got {count:,}; ask for fewer choruses"
        )
    early = [_other_times(chart, section, indices) for section, indices in chorus]
    visits = [
        Visit(section, tuple(indices), "form", number)
        for number in range(1, choruses + 1)
        for section, indices in (chorus if number == choruses or sections else early)
    ]
    if sections is None and bars is None:
        visits = [
            *_named(chart, chart.intro, "intro", 0),
            *visits,
            *_named(chart, chart.ending, "ending", choruses),
        ]
    return Roadmap(
        chart.title, lane, chart.meter, chart.tempo_bpm, _played_bars(chart, lane, visits)
    )


def check_section(name: str, known: Sequence[str], shown: Sequence[str] = ()) -> None:
    """Raise where a section is not among those known; ``shown`` are the ones that may be meant."""
    if name not in known:
        raise OptionError(f"unknown section {name!r}; {nearest(name, shown or known)}")


def is_last_time(chart: Chart, name: str) -> bool:
    """Say whether a section is played in its base's place at the end of the last chorus.

    ``A-last`` in the form is such a section where the chart has an ``A`` as well.
    """
    base = name.removesuffix(LAST_TIME)
    return base != name and any(section.name == base for section in chart.sections)


def base_name(chart: Chart, name: str) -> str:
    """Return the section whose place a section for the last time takes, else its own name."""
    return name.removesuffix(LAST_TIME) if is_last_time(chart, name) else name


def section_title(chart: Chart, name: str) -> str:
    """Return a section's name as a reader sees it: ``A, the last time`` for ``A-last``."""
    return f"{base_name(chart, name)}, the last time" if is_last_time(chart, name) else name


def _other_times(chart: Chart, section: Section, indices: list[int]) -> tuple[Section, list[int]]:
    """Return what is played before the last chorus where a section is for the last one only."""
    if not is_last_time(chart, section.name):
        return section, indices
    base = chart.section(base_name(chart, section.name))
    is_as_long = len(base.plain) == len(section.plain)
    return base, indices if is_as_long else playing_order(base.plain)


def form_of(chart: Chart) -> tuple[str, ...]:
    """Return the sections of one chorus in playing order, also where no form was written."""
    apart = {chart.intro, chart.ending}
    names = tuple(section.name for section in chart.sections)
    return chart.form or tuple(name for name in names if name not in apart) or names


def used_sections(chart: Chart) -> list[Section]:
    """Return the sections that are played, each once, in playing order.

    A section for the last time comes with the one whose place it takes, and not before it.
    """
    form = [each for name in form_of(chart) for each in (base_name(chart, name), name)]
    names = dict.fromkeys([chart.intro, *form, chart.ending])
    return [chart.section(name) for name in names if name]


def _selected(
    chart: Chart, names: Sequence[str] | None, bars: tuple[int, int] | None
) -> list[tuple[Section, list[int]]]:
    """Return the sections of one chorus, each with the bars it plays."""
    known = [section.name for section in chart.sections]
    chosen: list[tuple[Section, list[int]]] = []
    for name in form_of(chart) if names is None else names:
        check_section(name, known, [each for each in known if not is_last_time(chart, each)])
        section = chart.section(name)
        order = playing_order(section.plain)
        if names is not None and bars is not None:
            order = _slice(list(range(len(section.plain))), bars, f"section {name}")
        chosen.append((section, order))
        if sum(len(indices) for _, indices in chosen) > MAX_PLAYED_BARS:
            raise OptionError(f"a chorus may play at most {MAX_PLAYED_BARS:,} bars")
    if not chosen:
        raise OptionError("no section was named")
    return _of_chorus(chosen, bars) if names is None and bars is not None else chosen


def _of_chorus(
    chosen: list[tuple[Section, list[int]]], bars: tuple[int, int]
) -> list[tuple[Section, list[int]]]:
    """Return the bars from first to last of a whole chorus, counted as they are played."""
    total = [(visit, index) for visit, (_, found) in enumerate(chosen) for index in found]
    kept = _slice(total, bars, "the chorus")
    return [
        (section, indices)
        for visit, (section, _) in enumerate(chosen)
        if (indices := [index for number, index in kept if number == visit])
    ]


def _slice(found: list[_T], bars: tuple[int, int], where: str) -> list[_T]:
    """Return the items from first to last, counted from 1."""
    first, last = bars
    if not 1 <= first <= last <= len(found):
        raise OptionError(f"{where} has bars 1 to {len(found)}, got {first}-{last}")
    return found[first - 1 : last]


def _named(chart: Chart, name: str | None, role: str, chorus: int) -> list[Visit]:
    """Return the visit to the intro or the ending."""
    if name is None:
        return []
    section = chart.section(name)
    return [Visit(section, tuple(playing_order(section.plain)), role, chorus)]


def _played_bars(chart: Chart, lane: str, visits: list[Visit]) -> tuple[PlayedBar, ...]:
    """Return the bars of every visit with their beats, passes and settings."""
    header = Settings(tempo_bpm=chart.tempo_bpm).over(chart.settings)
    settings = {s.name: _settings_by_bar(s, header) for s in chart.sections}
    passes: Counter[str] = Counter()
    start, bar_beats = Fraction(0), chart.meter.bar_beats
    played: list[PlayedBar] = []
    names = [base_name(chart, visit.section.name) for visit in visits]
    for visit, base, sung in zip(visits, names, _words_sung(visits, names), strict=True):
        section = visit.section
        passes[section.name] += 1
        for index, words in zip(visit.indices, sung, strict=True):
            here = settings[section.name][index]
            heard = section.lane("plain" if here.lane == "plain" else lane)[index]
            played.append(
                PlayedBar(
                    section=section.name,
                    base=base,
                    bar=index + 1,
                    pass_number=passes[section.name],
                    chorus=visit.chorus,
                    role=visit.role,
                    start_beats=start,
                    beats=bar_beats,
                    slots=heard.slots,
                    settings=here,
                    melody=section.melody[index] if section.melody is not None else (),
                    words=words,
                )
            )
            start += bar_beats
    return tuple(played)


def _settings_by_bar(section: Section, header: Settings) -> list[Settings]:
    """Return the settings in force at every bar of a section."""
    said = dict(section.settings)
    inner, whole = Settings(), header
    found: list[Settings] = []
    for index in range(len(section.plain)):
        if index in said:
            inner = said[index].over(inner)
            whole = inner.over(header)
        found.append(whole)
    return found


def _words_sung(
    visits: Sequence[Visit], names: Sequence[str]
) -> list[list[tuple[tuple[Syllable, ...], ...]]]:
    """Return the words of every bar of every visit: of the verse sung there, or of them all.

    A repeat inside a section goes on to the next verse too. ``names`` are those that visits
    share whose verses go on from each other: a section's, or that of the one it stands for.
    """
    if not any(visit.section.words for visit in visits):
        return [[()] * len(visit.indices) for visit in visits]
    passes = [_passes(visit) for visit in visits]
    times: Counter[tuple[str, int]] = Counter()
    for visit, name, own in zip(visits, names, passes, strict=True):
        times[name, visit.chorus] += 1 + max(own, default=0)
    done: Counter[tuple[str, int]] = Counter()
    found: list[list[tuple[tuple[Syllable, ...], ...]]] = []
    for visit, name, own in zip(visits, names, passes, strict=True):
        here, verses = (name, visit.chorus), visit.section.words
        if len(verses) <= times[here]:
            found.append(
                [
                    (_words(visit.section, (done[here] + each) % len(verses), index),)
                    if verses
                    else ()
                    for index, each in zip(visit.indices, own, strict=True)
                ]
            )
        else:
            found.append([tuple(verse[index] for verse in verses) for index in visit.indices])
        done[here] += 1 + max(own, default=0)
    return found


def _words(section: Section, verse: int, index: int) -> tuple[Syllable, ...]:
    """Return a verse's words in a bar; where it has none, those of the nearest verse before."""
    return next(filter(None, (each[index] for each in reversed(section.words[: verse + 1]))), ())


def _passes(visit: Visit) -> list[int]:
    """Return for every bar of a visit how often its repeat was played before."""
    bars = visit.section.plain
    found: list[int] = []
    last, end, times = -1, -1, 0
    for index in visit.indices:
        if index <= last:
            times, end = times + 1, max(end, last)
        elif bars[index].repeat_start or (index == last + 1 and index > end):
            times = 0
        elif index > last + 1:
            end = len(bars)  # what follows a last ending goes on with its verse
        last = index
        found.append(times)
    return found
