"""Drills: each kind does what it says, from the notes that are played."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.model import Chart
from porchswing.errors import OptionError
from porchswing.grips.drawings.moves import hardest_moves
from porchswing.lesson.drill_kinds import DRILL_KINDS, Drill, Ladder, drills
from porchswing.lesson.drill_source import spot_of
from porchswing.options import Choices
from porchswing.performance.model import Performance

DEMOS = ("lantern_street_stroll", "pickled_lemon_blues", "moth_at_the_window")


@pytest.fixture(params=DEMOS)
def chart(root: Path, request: pytest.FixtureRequest) -> Chart:
    return read_chart(root / "demos" / f"{request.param}.changes")


def _one(chart: Chart, kind: str, **choices: object) -> Drill:
    return drills(chart, Choices(**choices), [kind])[0]  # type: ignore[arg-type]


def _sections(performance: Performance) -> list[tuple[float, str]]:
    return [(m.seconds, m.text) for m in performance.marks if m.kind == "section"]


def _chord_notes(performance: Performance, start_s: float, end_s: float) -> list[int]:
    notes = performance.part("chords").notes
    return [n.velocity for n in notes if start_s - 0.03 <= n.onset_s < end_s - 0.03]


def test_every_kind_gives_a_drill_that_sounds(chart: Chart) -> None:
    made = drills(chart, Choices(), spots=2)
    assert {drill.kind for drill in made} == set(DRILL_KINDS)
    assert len({drill.stem for drill in made}) == len(made)
    for drill in made:
        assert drill.words
        assert drill.performance.parts[0].notes


def test_changes_go_back_and_forth_between_the_hardest_grips(chart: Chart) -> None:
    spot = spot_of(chart, Choices())
    hardest = hardest_moves(spot.voicing, spot.roadmap, 3, strokes=spot.strokes)
    for drill, move in zip(drills(chart, Choices(), ["changes"]), hardest, strict=True):
        grips = [m.text for m in drill.performance.marks if m.kind == "grip"][:4]
        pair = [f"{slot.chord} {slot.grip}" for slot in (move.before, move.after)]
        assert grips == pair * 2
        said = [text for _, text in _sections(drill.performance)]
        assert said[0] == "a bar each"
        assert said[-2:] == ["in the tune, slowly", "at tempo"]


def test_the_ladder_climbs_by_even_steps_and_says_each_tempo(chart: Chart) -> None:
    made = drills(chart, Choices(), ["ladder"], ladder=Ladder(80, 96, 0.045))[0].performance
    rungs = [text for _, text in _sections(made)]
    assert rungs == ["80 bpm", "84 bpm", "88 bpm", "92 bpm", "96 bpm"]
    tempos = [60e6 / event.us_per_quarter for event in made.tempo_events]
    assert tempos == pytest.approx([80, 83.73, 87.64, 91.73, 96], abs=0.01)
    ratios = [later / earlier for earlier, later in itertools.pairwise(tempos)]
    assert all(1.034 <= ratio <= 1.056 for ratio in ratios)


def test_the_ladder_goes_round_the_section_of_the_hardest_change(chart: Chart) -> None:
    spot = spot_of(chart, Choices())
    section = hardest_moves(spot.voicing, spot.roadmap, 1, strokes=spot.strokes)[0].after.section
    form = {bar.section for bar in spot.roadmap.bars if bar.role == "form"}
    if section in form:
        assert _one(chart, "ladder").title.startswith(f"Section {section},")


def test_the_answer_leaves_every_second_phrase_to_the_student(chart: Chart) -> None:
    made = _one(chart, "answer").performance
    turns = [*_sections(made), (made.end_s, "")]
    assert [text for _, text in turns[:4]] == ["listen", "your turn"] * 2
    for (start, text), (end, _) in itertools.pairwise(turns):
        assert bool(_chord_notes(made, start, end)) is (text == "listen")
        bass = [n for n in made.part("bass").notes if start - 0.03 <= n.onset_s < end - 0.03]
        assert bass


def test_the_chords_fade_chorus_by_chorus_to_nothing(chart: Chart) -> None:
    made = _one(chart, "fade")
    spot = spot_of(chart, Choices(choruses=4))
    beat_s = made.performance.tempo_events[-1].us_per_quarter / 1e6
    clicks_s = made.performance.end_s - float(spot.roadmap.beats) * beat_s
    means = []
    for chorus in (1, 2, 3, 4):
        bars = [b for b in spot.roadmap.bars if b.role == "form" and b.chorus == chorus]
        start = clicks_s + float(bars[0].start_beats) * beat_s
        end = clicks_s + float(bars[-1].start_beats + bars[-1].beats) * beat_s
        heard = _chord_notes(made.performance, start, end)
        means.append(sum(heard) / len(heard) if heard else 0.0)
    assert means[0] > means[1] > means[2] > means[3] == 0.0


def test_the_line_is_alone_and_then_inside_the_chords(chart: Chart) -> None:
    made = _one(chart, "line").performance
    (alone, first), (inside, second) = _sections(made)
    assert (first, second) == ("the line alone", "inside the chords")
    assert not _chord_notes(made, alone, inside)
    assert _chord_notes(made, inside, made.end_s)
    strings = {note.string for note in made.part("line").notes}
    assert len(strings) <= len(chart.sections), "one string a section at most"


def test_the_strum_is_muted_before_the_grip_sounds(chart: Chart) -> None:
    made = _one(chart, "strum").performance
    (muted, _), (sounding, _), (tempo, _) = _sections(made)
    notes = made.part("chords").notes
    dead = [n.touch for n in notes if muted - 0.03 <= n.onset_s < sounding - 1]
    live = [n.touch for n in notes if sounding - 0.03 <= n.onset_s < tempo - 1]
    assert dead
    assert set(dead) <= {"chuck", "mute"}
    assert set(live) - {"chuck", "mute"}


def test_an_unknown_kind_names_the_known_ones(chart: Chart) -> None:
    with pytest.raises(OptionError, match="unknown drill yodel; drills are changes, ladder"):
        drills(chart, Choices(), ["yodel"])


def test_a_silent_chart_has_nothing_to_strum() -> None:
    silent = parse_chart("title: Hush\n[A]\n| N.C. | N.C. |\n")
    with pytest.raises(OptionError, match="no grip to strum"):
        drills(silent, Choices(), ["strum"])


def test_a_tune_of_one_chord_has_no_hard_change_but_everything_else() -> None:
    one = parse_chart("title: One\n[A]\n| C6 | % | % | % |\n")
    kinds = {drill.kind for drill in drills(one, Choices(depth=0))}  # the swing lane adds more
    assert kinds == set(DRILL_KINDS) - {"changes"}


def test_a_ladder_over_several_choruses_ends_its_task_inside_the_tune() -> None:
    text = "form: A B\n[A]\n| F Dm7 | Gm7 C7 |\n[B]\n| Am7 D7 | Gm7 C7 |"
    (ladder,) = drills(parse_chart(text), Choices(choruses=3), ["ladder"])
    assert ladder.task is not None
    assert ladder.task.bars == (5, 6), "B, the last time, behind the four bars of the form"


def test_a_section_for_the_last_time_is_named_as_on_the_page() -> None:
    text = "title: T\nkey: F\nform: A A-last\n[A]\n| F | C7 |\n[A-last]\n| Bb | Bbm | F |\n"
    made = drills(parse_chart(text), Choices(), ["ladder", "changes"], spots=9)
    said = [drill.title for drill in made]
    assert any("A, the last time" in words for words in said)
    assert not any("A-last" in words for words in said)
