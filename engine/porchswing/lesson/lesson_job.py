"""One thing a lesson is made of: how it is made, its files, its heading on the index page.

A maker is a small function for each kind of thing: it gets the source, the job's argument and the
paths to write; it may run in any process and touches nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from porchswing.chart.language.writer import write_chart
from porchswing.chart.unroll import section_title, used_sections
from porchswing.file_formats import Tags
from porchswing.grips.drawings.spoken import spoken_lines
from porchswing.grips.drawings.tablature import tablature
from porchswing.grips.melody.solo_notes import Solo
from porchswing.grips.shapes.model import Voicing
from porchswing.grips.vocabulary.few_strings import on_few_strings
from porchswing.lesson.chart_score import notated_score
from porchswing.lesson.comparison import compare, compare_swap
from porchswing.lesson.drill_source import page_choices
from porchswing.lesson.handout import HandoutSource, handout_sheet
from porchswing.lesson.practice_plan import practice_plan
from porchswing.lesson.source import LessonSource, line_string
from porchswing.outputs.manifest import digest_of, engine_digest
from porchswing.outputs.names import file_word
from porchswing.pages.cues import (
    SENTENCE,
    WORDS,
    cue_text,
    marks_text,
    sentence_marks,
    word_marks,
)
from porchswing.pages.handout.sheet import handout_pdf
from porchswing.pages.practice.page_lane import PageLane
from porchswing.pages.practice.practice_page import practice_page
from porchswing.recording import write_performance
from porchswing.take import choose_grips, choose_solo, lead_and_grips, road_of, take_along
from porchswing.theory.notes import with_signs

STUDENT, TEACHER = "for-the-student", "for-the-teacher"
"""Folders of a lesson: what a student takes home, and everything else."""

PRACTISE, PRINT, COMPARE, DRILLS = "Practise", "Print", "Hear the difference", "Drills"
PLAY_ALONG = "Play along"
GROUPS = {
    PRACTISE: "One page for phone or computer: it plays at any tempo, offline.",
    COMPARE: "The same bars as you know them, then as we play them, equally loud.",
    PRINT: "Both lanes, the grips, the line, the strum and the plan, on paper.",
    PLAY_ALONG: "The band with you listening, and the band without its chord part for you.",
    DRILLS: "Short tracks for the hard spots; the practice plan says which first.",
    "Parts and files": "For teachers and other programs; the stems add up to the mix.",
}
"""The headings of the index page and a sentence for each."""

DEFAULT_STRUM = "four"
"""The strum a handout shows where the take has no chord part."""

FEW_STRINGS = "three strings"
"""What the easiest of several ways through the bars is called."""

Maker = Callable[[LessonSource, str, Sequence[Path], Tags], None]


def make_chart(source: LessonSource, _: str, parts: Sequence[Path], __: Tags) -> None:
    """Write the chart with both lanes."""
    _write(parts[0], write_chart(source.lead.chart))


def make_track(source: LessonSource, argument: str, parts: Sequence[Path], tags: Tags) -> None:
    """Write one mix at one tempo; ``argument`` is the tempo and the parts left out."""
    tempo, *without = argument.split()
    take = source.take_as(source.at_tempo(float(tempo))).leaving_out(without)
    replace(take, tags=tags).write(parts, threads=1)


def make_stems(source: LessonSource, _: str, parts: Sequence[Path], tags: Tags) -> None:
    """Write every part alone; together they are the mix. The file's stem names the part."""
    take = replace(source.take, tags=tags)
    take.write_stems(dict(zip(take.parts, parts, strict=True)), threads=1)


def make_compare(source: LessonSource, _: str, parts: Sequence[Path], tags: Tags) -> None:
    """Write plain against swing, section by section."""
    compare(source.chart, source.choices).write(parts, tags)


def make_swap(source: LessonSource, argument: str, parts: Sequence[Path], tags: Tags) -> None:
    """Write one swap by itself; ``argument`` is its name."""
    swap = next(s for s in source.lone_swaps if s.name == argument)
    compare_swap(source.lead.chart, source.choices, swap, times=2).write(parts, tags)


def make_drill(source: LessonSource, argument: str, parts: Sequence[Path], tags: Tags) -> None:
    """Write one drill; ``argument`` is its stem."""
    drill = next(d for d in source.drills if d.stem == argument)
    write_performance(drill.performance, parts, source.choices.sound, tags=tags, threads=1)


def make_practice_page(source: LessonSource, _: str, parts: Sequence[Path], __: Tags) -> None:
    """Write the practice page with both lanes."""
    lanes = [_page_lane(source, lane) for lane in ("swing", "plain")]
    if source.choices.together:
        lanes.append(_page_lane(source, "plain", FEW_STRINGS))
    slow = source.take_as(source.at_tempo(source.tempos_bpm[-2:][0]))
    page = practice_page(
        source.lead.chart,
        lanes,
        track=slow.performance,
        task=source.page_task,
        solo=_solo(source),
        known=source.known_sections,
    )
    _write(parts[0], page)


def make_handout(source: LessonSource, argument: str, parts: Sequence[Path], __: Tags) -> None:
    """Write the handout; ``argument`` is the paper."""
    take = source.take
    chords = next((part for part in take.score.parts if part.name == "chords"), None)
    strum = chords.patterns[0].partition("/")[2] if chords else source.choices.style.strum
    sheet = handout_sheet(
        HandoutSource(
            lead=source.lead,
            voicing=source.voicing,
            steps=practice_plan(source.drills),
            tempo_bpm=take.tempo_bpm,
            swing_ratio=take.score.tempo_map.segments[0].ratio,
            strum=strum or DEFAULT_STRUM,
            line_strings={
                each.name: line_string(source.lead.chart, source.voicing, source.choices, each.name)
                for each in used_sections(source.lead.chart)
            },
            tablature=_tablature(source),
            met=source.met,
            known=source.known_sections,
            ways=ways_of(source),
        )
    )
    parts[0].write_bytes(handout_pdf(sheet, argument))


def ways_of(source: LessonSource) -> dict[str, Voicing]:
    """Return three ways through the same bars where lanes are to sound well together."""
    if not source.choices.together:
        return {}
    beginner = choose_grips(source.lead, replace(source.choices, lane="plain", grips=None))
    return {
        FEW_STRINGS: on_few_strings(beginner),
        "open grips": beginner,
        "closed grips": source.voicing,
    }


def _tablature(source: LessonSource) -> str:
    """Return the chord melody as tablature where it is played, else nothing."""
    if (solo := _solo(source)) is None:
        return ""
    chart = source.lead.chart
    text = tablature(solo, road_of(chart, source.choices))
    text = with_signs(text.partition("\n\n")[2])  # the first line gives the cost
    for section in used_sections(chart):
        text = text.replace(f"[{section.name}]", f"[{section_title(chart, section.name)}]")
    return text


def _solo(source: LessonSource) -> Solo | None:
    """Return the chord melody where it is played."""
    wants_solo = "solo" in source.choices.extra_parts
    return choose_solo(source.lead, source.choices) if wants_solo else None


def make_musicxml(source: LessonSource, _: str, parts: Sequence[Path], __: Tags) -> None:
    """Write both lanes, the grips and the line as MusicXML."""
    _write(parts[0], notated_score(source.chart, source.choices))


def make_cues(source: LessonSource, argument: str, parts: Sequence[Path], __: Tags) -> None:
    """Write the cues of one kind, true to the full track at the tune's own tempo."""
    take, played = source.take, source.take.performance
    if argument == SENTENCE:
        voicing = lead_and_grips(source.chart, source.choices)[1]
        text = marks_text(played, sentence_marks(played, voicing))
    elif argument == WORDS:
        road = road_of(source.lead.chart, source.choices)
        text = marks_text(played, word_marks(played, take.score.tempo_map, road))
    else:
        text = cue_text(played, argument)
    _write(parts[0], text)


def make_words(source: LessonSource, _: str, parts: Sequence[Path], __: Tags) -> None:
    """Write every grip as a sentence, in the order of the chart, for a screen reader."""
    voicing = lead_and_grips(source.chart, source.choices)[1]
    _write(parts[0], "\n".join([f"{source.chart.title}.", *spoken_lines(voicing)]) + "\n")


def _page_lane(source: LessonSource, lane: str, name: str = "") -> PageLane:
    choices = replace(page_choices(source.choices), lane=lane)
    lead, voicing = lead_and_grips(source.chart, choices)
    if name == FEW_STRINGS:
        voicing = on_few_strings(voicing)
    roadmap = road_of(lead.chart, choices)
    take = take_along(lead.chart, roadmap, voicing, choices)
    return PageLane(name or lane, roadmap, voicing, take.score, take.performance)


def _write(path: Path, text: str) -> None:
    path.write_text(text, "utf-8", newline="\n")


MAKERS: dict[str, Maker] = {
    "chart": make_chart,
    "track": make_track,
    "stems": make_stems,
    "compare": make_compare,
    "swap": make_swap,
    "drill": make_drill,
    "practice page": make_practice_page,
    "handout": make_handout,
    "musicxml": make_musicxml,
    "cues": make_cues,
    "words": make_words,
}
"""Kind of job to what makes it."""


@dataclass(frozen=True, slots=True)
class LessonJob:
    """One thing to make: its ``kind`` and ``argument`` choose how, ``outputs`` are its files.

    ``group`` is its heading on the index page (:data:`GROUPS`), ``title`` and ``words`` what is
    printed beside it; ``patterns`` is the digest of the patterns that shape it, ``number`` its
    place in the lesson.
    """

    source: LessonSource
    kind: str
    argument: str
    outputs: tuple[str, ...]
    group: str
    title: str
    words: str = ""
    patterns: str = ""
    number: int = 0

    @property
    def tags(self) -> Tags:
        """What a player shows of its recordings: the lesson is the album."""
        chart = self.source.chart
        return Tags(f"{chart.title}: {self.title}", chart.by, chart.title, self.number)

    @property
    def digest(self) -> str:
        """The digest of everything that goes in."""
        return digest_of(
            [
                engine_digest(),
                self.patterns,
                self.kind,
                self.argument,
                self.number,
                # which of its things are asked for changes none of them; fractions become text
                {
                    name: repr(value)
                    for name, value in asdict(replace(self.source, groups=(), tracks=())).items()
                },
            ]
        )

    def run(self, parts: Sequence[Path]) -> None:
        """Write every output to its path in ``parts``."""
        MAKERS[self.kind](self.source, self.argument, parts, self.tags)


def drill_name(source: LessonSource, stem: str) -> str:
    """Return the name of a drill's files without their suffix."""
    return f"{TEACHER}/drills/{source.stem}-{file_word(stem)}"
