"""Print eight bars of every strum as text and draw them as piano rolls, to be looked at.

    python tests/bench/rhythm_patterns.py [--out FOLDER] [NAME …]

Text: one row a bar, the strokes under their count, with grips; an arrow is a direction, ``x`` a
chuck, ``·`` a ghost, ``o`` plucked strings, capital letters are louder than 0.6. Pictures: the
performed notes of four patterns a page, time across, pitch up, darker is louder.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from porchswing.band.compose import compose_score
from porchswing.band.score import PartScore, Score, Stroke
from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.grips.search.voice import voice
from porchswing.options import BandStyle
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.strum import load_strum

DEMOS = Path(__file__).resolve().parents[2] / "demos"
BARS = 8
OWN = """title: Eight bars
key: C
meter: {meter}
tempo: {tempo}

[A]
| C6 | A7 | Dm7 | G7 | C6 | A7 | D9 G7 | C6 |
"""
DEMO = {"4/4": "lantern_street_stroll.changes", "3/4": "moth_at_the_window.changes"}
TEMPO = {"2/4": 110, "6/8": 60, "12/8": 60}


def eight_bars(name: str) -> tuple[Roadmap, Score]:
    meter = str(load_strum(name).meter)
    if meter in DEMO:
        chart = read_chart(DEMOS / DEMO[meter])
    else:
        chart = parse_chart(OWN.format(meter=meter, tempo=TEMPO[meter]))
    lane = "plain"
    roadmap = unroll(chart, lane=lane)
    form = tuple(bar for bar in roadmap.bars if bar.role == "form")[:BARS]
    start = form[0].start_beats
    form = tuple(replace(bar, start_beats=bar.start_beats - start) for bar in form)
    roadmap = replace(roadmap, bars=form)
    style = BandStyle(strum=name, count_in_bars=0)
    voicing = voice(chart, lane=lane, grips="closed")
    return roadmap, compose_score(chart, roadmap, voicing, style)


def sign(stroke: Stroke) -> str:
    if stroke.kind in {"chuck", "ghost", "roll", "tremolo", "slur"}:
        return {"chuck": "x", "ghost": "·", "roll": "R", "tremolo": "~", "slur": "h"}[stroke.kind]
    if stroke.kind == "pinch":
        return "o"
    letter = "v" if stroke.direction == "down" else "^"
    return letter.upper().replace("^", "A") if stroke.velocity > 0.6 else letter


def text(roadmap: Roadmap, part: PartScore) -> str:
    rows = []
    for number, bar in enumerate(roadmap.bars, 1):
        end = bar.start_beats + bar.beats
        cells = Fraction(1, 2)
        own = [e for e in part.events if bar.start_beats <= e.onset_beats < end]
        if any((e.onset_beats * 2).denominator == 3 for e in own):
            cells = Fraction(1, 3)
        if any((e.onset_beats * 2).denominator == 2 for e in own):
            cells = Fraction(1, 4)
        line, grips, at = "", [], bar.start_beats
        while at < end:
            here = [e for e in own if e.onset_beats == at]
            line += f"{sign(here[0]):<2}" if here else ". "
            at += cells
        for event in own:
            held = f"{event.grip}"
            extra = ""
            if event.slide_frets:
                extra += f" slide{event.slide_frets:+d}"
            if event.fall_frets:
                extra += " fall"
            if event.vibrato:
                extra += " shake"
            if not grips or grips[-1] != held or extra:
                grips.append(held + extra)
        longest = " ".join(f"{float(e.duration_beats):.2f}" for e in own)
        rows.append(f"  {number}  {line:<26}{' '.join(grips):<40}{longest}")
    return "\n".join(rows)


def draw(rolls: list[tuple[str, Roadmap, Performance]], path: Path) -> None:
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    figure, axes = pyplot.subplots(len(rolls), 1, figsize=(16, 3.2 * len(rolls)))
    for axis, (name, roadmap, performance) in zip(axes, rolls, strict=True):
        for note in performance.part("chords").notes:
            shade = str(round(0.75 - 0.75 * note.velocity / 127, 2))
            width = max(note.end_s - note.onset_s, 0.02)
            colour = "tab:red" if note.touch in {"chuck", "mute"} else shade
            axis.barh(note.pitch, width, left=note.onset_s, height=0.8, color=colour)
        for note in performance.part("bass").notes:
            axis.plot([note.onset_s, note.end_s], [52 + note.pitch / 12] * 2, color="tab:blue")
        beat_s = performance.end_s / float(roadmap.beats)
        for beat in range(int(roadmap.beats) + 1):
            strong = any(bar.start_beats == beat for bar in roadmap.bars)
            axis.axvline(beat * beat_s, color="tab:orange" if strong else "0.9", lw=0.8, zorder=0)
        axis.set_title(name, fontsize=9, loc="left")
        axis.set_xlim(0, performance.end_s)
    figure.tight_layout()
    figure.savefig(path, dpi=70)
    pyplot.close(figure)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path)
    parser.add_argument("names", nargs="*")
    options = parser.parse_args()
    rolls = []
    for name in options.names or pattern_names("strum"):
        roadmap, score = eight_bars(name)
        part = next(part for part in score.parts if part.name == "chords")
        print(f"{name} ({load_strum(name).meter}): {load_strum(name).title}")
        print(text(roadmap, part), end="\n\n")
        rolls.append((name, roadmap, perform(score, humanize=0.0)))
    if options.out:
        options.out.mkdir(parents=True, exist_ok=True)
        for page in range(0, len(rolls), 4):
            group = rolls[page : page + 4]
            if len(group) > 1:
                draw(group, options.out / f"strums_{page // 4 + 1}.png")


if __name__ == "__main__":
    main()
