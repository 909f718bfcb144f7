"""``porchswing grips``: the best grips for a chart, with diagrams, lines and moves."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from porchswing.cli import base, options, terminal
from porchswing.cli.tune.grip_ways import road_shown, show_ways
from porchswing.options import DRAWINGS, Choices

if TYPE_CHECKING:
    from porchswing.chart.model import Chart
    from porchswing.grips.shapes.model import Voicing
    from porchswing.harmony.choice.lead import Lead


def read_window(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> tuple[int, int] | None:
    """Read ``4-8`` as a window of frets."""
    from porchswing.chart.language.problems import TextError
    from porchswing.chart.language.values import read_frets

    try:
        return None if value is None else read_frets(value)
    except TextError as error:
        raise click.BadParameter(f"{error.message} ({error.hint})", ctx, param) from error


MOST = 24
"""Most grips of one chord that are drawn; ``--best`` asks for fewer."""

IDLE = {
    "chord": ("keys", "melody", "shapes", "slides", "said", "svg_dir", "out", "let_go"),
    "keys": ("shapes", "slides", "said", "best", "svg_dir", "out"),
    "melody": ("shapes", "slides", "said", "best", "out"),
    "shapes": ("slides", "said", "best", "svg_dir", "out"),
    "slides": ("said", "best", "svg_dir", "out"),
    "said": ("best", "svg_dir", "out", "as_json"),
}
"""What may be shown instead of the grips, and the options that cannot act on it."""


@base.command(example="porchswing grips bridge.changes --line 4:down --frets 4-8 --svg out/")
@click.argument("chart_path", metavar="[CHART]", required=False, type=options.CHART)
@click.option("--chord", metavar="SYMBOL", help="Every grip of one chord, without a chart: Am7.")
@options.choice_options(*options.EVERYTHING[:2], DRAWINGS, also=("loop", "chord_places", "slides"))
@click.option(
    "--frets", callback=read_window, metavar="LOW-HIGH", help="Use these frets alone, such as 4-8."
)
@click.option(
    "--offer",
    "offers",
    multiple=True,
    metavar="CHORDS",
    help="Chords that may stand for each other: Bb7|Bb9, or 7|9 for every root.",
)
@click.option(
    "--best",
    type=options.number(1, 100),
    default=1,
    show_default=True,
    metavar="1..100",
    help="Show so many good ways that differ in at least a tenth of their grips.",
)
@click.option(
    "--each-pass",
    "tied",
    is_flag=True,
    flag_value=False,
    default=True,
    help="Choose grips for each return of a section by itself.",
)
@click.option(
    "--shapes",
    is_flag=True,
    help="Show the shapes the tune needs, and what fewer of them would cost.",
)
@click.option(
    "--melody", is_flag=True, help="Arrange the melody on top of its grips, as tablature."
)
@click.option("--said", is_flag=True, help="Print every grip as a sentence, for a screen reader.")
@click.option("--keys", is_flag=True, help="Rank the twelve keys by how well the tune lies.")
@click.option(
    "--singer",
    metavar="LOW..HIGH",
    help="With --keys: the keys first that this voice can sing, for example A3..D5.  "
    "[default: the chart's range]",
)
@click.option(
    "--svg",
    "svg_dir",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Draw every grip, and each section as a strip with its line.",
)
@options.output_option(
    "OUT",
    "Write the chart with these grips and fingers as locks: later lessons keep them.",
    kind=click.Path(path_type=Path, dir_okay=False),
)
@click.option(
    "--let-go",
    "let_go",
    multiple=True,
    metavar="SECTION",
    help="Choose the locked grips of a section again (repeat for more).",
)
@options.answer_options
def command(
    chart_path: Path | None,
    chord: str | None,
    choices: Choices,
    best: int,
    keys: bool,
    singer: str | None,
    shapes: bool,
    melody: bool,
    said: bool,
    svg_dir: Path | None,
    out: Path | None,
    let_go: tuple[str, ...],
    answer: base.Answer,
    **asked: Any,
) -> None:
    """Find the grips that make the smoothest line with the least work for the hand.

    The answer is the best one there is under the costs of the hand profile, not a guess. A closed
    grip has no open string: it moves along the neck, and lifting the fingers stops its sound.
    """
    if (chart_path is None) == (chord is None):
        raise click.UsageError("give a CHART, or --chord SYMBOL for the grips of one chord")
    if singer is not None and (chord is not None or not keys):
        raise click.UsageError("--singer ranks the keys of a tune; add --keys and a CHART")
    _refuse_idle()
    if chord is not None:
        _show_chord(chord, choices, best if best > 1 else MOST, answer)
        return
    assert chart_path is not None
    if not chart_path.exists():
        base.refuse_chord(str(chart_path))
    from porchswing.grips.drawings.line_strip import drawings
    from porchswing.grips.drawings.spoken import spoken_lines
    from porchswing.grips.drawings.voicing_text import shape_facts, shapes_text
    from porchswing.grips.search.voice import shape_curve, voicings, worth_letting_go
    from porchswing.take import lead_of, strung

    lead = lead_of(_let_go(base.read_chart_at(chart_path), let_go), choices)
    wishes = choices.grip_wishes | {"tuning": strung(lead.chart, choices)} | asked
    if keys:
        _show_keys(lead, wishes, choices.chord_places if melody else None, singer, answer)
        return
    if melody:
        _show_solo(lead, choices, svg_dir, answer)
        return
    chart, section = lead.chart, choices.section
    roadmap = road_shown(chart, choices)
    ways = voicings(lead, **wishes, best=best, varied=True)
    if shapes:
        curve = shape_curve(lead, **wishes)
        answer.show(
            shape_facts(ways[0], curve, section),
            shapes_text(ways[0], curve, section),
            printed=terminal.show,
        )
    elif "slides" in options.given_flags():
        _show_slides(ways[0], chart, section, choices.style.slides, answer)
    elif said:
        answer.show({}, f"{chart.title}.", *spoken_lines(ways[0], section))
    else:
        files: list[Path] = []
        if svg_dir is not None:
            files = _draw(svg_dir, drawings(ways[0], roadmap, section, choices.line), answer)
        if out is not None:
            _keep(chart, ways[0], section, out, answer, tied=asked["tied"])
            files.append(out)
        if answer.as_json or not answer.quiet:
            gains = worth_letting_go(chart, ways[0], **wishes)
            show_ways(chart, roadmap, choices, ways, gains, files, best, as_json=answer.as_json)


def _show_chord(symbol: str, choices: Choices, most: int, answer: base.Answer) -> None:
    """Print the grips of a chord under a take's choices."""
    from porchswing.grips.drawings.diagram import beside, grip_text
    from porchswing.grips.search.voice import grips_of

    found = grips_of(
        symbol,
        choices.tuning or "gCEA",
        grips=choices.grips or "any",
        max_fret=choices.max_fret,
        max_stretch=choices.max_stretch,
        ease=choices.ease,
        mutes=choices.mutes,
    )[:most]
    rows = [{"frets": list(grip.frets), "midi": list(grip.midi)} for grip in found]
    answer.show(
        {"symbol": symbol, "tuning": found[0].tuning.name, "grips": rows},
        *beside([grip_text(grip, str(grip)) for grip in found]),
    )


def _refuse_idle() -> None:
    """Raise where an option was typed that cannot act on what the command shows."""
    given = options.given_flags()
    shown = next((name for name in IDLE if name in given), None)
    if shown is not None:
        flag = given[shown]
        options.refuse_given(IDLE[shown], f"{flag} shows something else", f"leave out {flag}")


def _let_go(chart: Chart, sections: tuple[str, ...]) -> Chart:
    """Return the chart without the locks of some sections."""
    from porchswing.chart.unroll import check_section
    from porchswing.grips.shapes.locks import unlocked

    for name in sections:
        check_section(name, [section.name for section in chart.sections])
    return unlocked(chart, sections) if sections else chart


def _keep(
    chart: Chart, way: Voicing, section: str | None, out: Path, answer: base.Answer, *, tied: bool
) -> None:
    """Write the chart with the grips of a way as locks, those of one section or all."""
    from porchswing.chart.language.writer import write_chart
    from porchswing.grips.shapes.locks import locks_hold, with_locks

    if not tied:
        raise click.UsageError("-o keeps one grip a chord; it goes without --each-pass")
    if not locks_hold(chart, way.tuning):
        chart = replace(chart, tuning=way.tuning.name)
    kept = with_locks(chart, way, None if section is None else (section,))
    answer.write_at(out, write_chart(kept))


def _show_slides(
    way: Voicing, chart: Chart, section: str | None, share: float, answer: base.Answer
) -> None:
    """Print where the grips invite a slide."""
    from porchswing.grips.vocabulary.slides import slide_ideas

    ideas = [i for i in slide_ideas(way, chart.meter, share) if section in (None, i.section)]
    rows = [
        {
            "section": i.section,
            "bar": i.bar,
            "beat": float(i.beat),
            "symbol": i.chord,
            "frets": i.frets,
            "from": i.origin,
            "mark": i.mark,
            "reason": i.reason,
        }
        for i in ideas
    ]
    answer.show({"slides": rows}, *(ideas or ("no shape slides into a strong beat here",)))


def _show_solo(lead: Lead, choices: Choices, svg_dir: Path | None, answer: base.Answer) -> None:
    """Print the tune on top of its grips, and draw each section of it."""
    from porchswing.chart.unroll import unroll
    from porchswing.grips.drawings.tablature import (
        solo_facts,
        tablature,
        tablature_svg,
        written_bars,
    )
    from porchswing.outputs.names import file_word
    from porchswing.take import choose_solo

    found = choose_solo(lead, choices)
    road = unroll(lead.chart, lane=choices.lane)
    svgs = {
        f"melody_{file_word(name)}.svg": tablature_svg(found, road, name, has_plate=True)
        for name, bars in written_bars(road).items()
        if choices.section in (None, name) and any(bar.melody for bar in bars)
    }
    files = _draw(svg_dir, svgs, answer) if svg_dir else []
    made = {"files": [str(path) for path in files]} if files else {}
    answer.show(
        {**solo_facts(found, choices.section), **made},
        tablature(found, road, choices.section),
        *(f"wrote {path}" for path in files),
    )


def _show_keys(
    lead: Lead,
    wishes: dict[str, Any],
    chord_places: str | None,
    singer: str | None,
    answer: base.Answer,
) -> None:
    """Print the twelve keys, the one that lies best first, for the grips or for the solo."""
    from porchswing.chart.singer import singer_of, sung_pitches
    from porchswing.grips.melody.solo import solo
    from porchswing.grips.search.best_key import rank_keys

    voice = lead.chart.singer if singer is None else singer_of(singer)
    if not sung_pitches(lead.chart):
        voice = None
        if singer is not None:
            raise click.UsageError("--singer needs a tune with a melody lane")
    if chord_places is None:
        ranks = rank_keys(lead.chart, singer=voice, **wishes)
    else:
        ranks = rank_keys(lead.chart, solo, singer=voice, chords=chord_places, **wishes)
    rows = [
        {"key": str(rank.key), "cost": rank.cost, "message": rank.trouble}
        | ({"notes_outside": rank.notes_outside} if voice else {})
        for rank in ranks
    ]
    easiest = "the one that lies easiest first"
    first = f"those that the voice can sing first, of them {easiest}" if voice else easiest
    answer.show(
        {"keys": rows},
        f"the twelve keys, {first}, with the cost of its best way:",
        *(
            f"{place:>2}  {'; '.join(filter(None, (str(rank), rank.unsung)))}"
            for place, rank in enumerate(ranks, 1)
        ),
        printed=terminal.show,
    )


def _draw(folder: Path, svgs: dict[str, str], answer: base.Answer) -> list[Path]:
    """Write the pictures, whole or not at all; return the files."""
    texts = {folder / name: svg for name, svg in svgs.items()}
    with answer.folder(folder).making_all(list(texts)) as parts:
        for path, svg in texts.items():
            parts[path].write_text(svg, encoding="utf-8")
    return list(texts)
