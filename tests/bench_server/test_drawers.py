"""What the drawers ask of the music: strums as grids, header lines, keys, the lesson's order."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from porchswing.bench.shown.actions import (
    ACTIONS,
    act,
    grid_toml,
    header_edits,
    ranked_keys,
    save_strum,
    strum_grid,
    transposed,
    word_tables,
)
from porchswing.bench.shown.making import failed_words, lesson_groups, lesson_order
from porchswing.chart.language.reader import parse_chart
from porchswing.errors import OptionError, PatternError
from porchswing.lesson.pack import lesson_jobs
from porchswing.rhythm.patterns import OWN_FOLDER, pattern_names, read_pattern_text
from porchswing.rhythm.strum import forget_patterns, load_strum, strum_pattern
from support.bench_tune import TUNE


@pytest.mark.parametrize("name", pattern_names("strum"))
def test_a_grid_says_the_same_strum_as_its_file(name) -> None:
    text = grid_toml(strum_grid(name))
    assert strum_pattern(read_pattern_text("strum", name, "x.toml", text)) == load_strum(name)


def test_an_edited_strum_is_saved_as_the_players_own_and_can_be_named(
    tmp_path, monkeypatch
) -> None:
    monkeypatch.setenv(OWN_FOLDER, "")
    monkeypatch.delenv(OWN_FOLDER)
    own = strum_grid("charleston")
    own["bars"][0]["hand"][1] = "u"
    saved = save_strum("My Charleston!", own, str(tmp_path))
    assert saved["name"] == "my_charleston"
    assert Path(saved["path"]) == tmp_path / "strum" / "my_charleston.toml"
    assert len(load_strum("my_charleston").bars[0].cells) == 4
    own["bars"][0]["hand"][0] = "U"
    before = Path(saved["path"]).read_bytes()
    with pytest.raises(PatternError, match="strums up on a down beat"):
        save_strum("my_charleston", own, str(tmp_path))
    assert Path(saved["path"]).read_bytes() == before
    monkeypatch.delenv(OWN_FOLDER)
    forget_patterns()


def test_text_in_a_grid_stays_text() -> None:
    own = {**strum_grid("four"), "title": 'a "quoted" \\ title\n[x]'}
    text = grid_toml(own)
    assert read_pattern_text("strum", "x", "x.toml", text).text("title") == 'a "quoted" \\ title[x]'


def test_header_lines_are_set_in_place_or_added_above_the_sections() -> None:
    made = header_edits(TUNE, {"tempo": "92", "strum": "charleston"})["edits"]
    text = TUNE
    for start, end, insert in sorted(made, reverse=True):
        text = text[:start] + insert + text[end:]
    chart = parse_chart(text)
    assert (chart.tempo_bpm, chart.settings.strum) == (92, "charleston")
    assert text.replace("tempo:  92", "tempo:  120").replace("strum:  charleston\n", "") == TUNE
    with pytest.raises(OptionError, match="unknown header key"):
        header_edits(TUNE, {"volume": "11"})


def test_the_twelve_keys_are_ranked_and_the_chart_moves_to_one() -> None:
    keys = ranked_keys(TUNE, {})["keys"]
    assert len(keys) == 12
    assert next(row["share"] for row in keys if row["key"] == "F") == 1
    assert str(parse_chart(transposed(TUNE, "G")["text"]).key) == "G"


def test_the_words_are_those_of_the_engines_tables() -> None:
    words = word_tables()
    assert {row["label"] for row in words["patterns"]["strum"]} == set(pattern_names("strum"))
    assert "F" in words["keys"]
    assert "maj7" in words["suffixes"]


def test_an_order_says_what_for_whom_and_where(tmp_path) -> None:
    ask = {"text": TUNE, "groups": ["Print"], "student": " Rosie  Lee ", "task": "bars 1-2 at 70 %"}
    source, folder = lesson_order(ask, tmp_path / "two_rooms.changes")
    assert folder == tmp_path / "two_rooms-lesson-Rosie_Lee"
    assert str(source.task) == "bars 1 to 2 at 70 %"
    assert source.groups == ("Print",)
    assert [group["always"] for group in lesson_groups()].count(True) == 1
    wrongs = (
        {"groups": ["Cakes"]},
        {"format": "exe"},
        {"task": "eat cake"},
        {"tracks": [[2, "x"]]},
    )
    for wrong in wrongs:
        with pytest.raises(OptionError):
            lesson_order({"text": TUNE, **wrong}, tmp_path / "x.changes")


def test_a_student_cannot_name_a_folder_elsewhere(tmp_path) -> None:
    _, folder = lesson_order({"text": TUNE, "student": "../../etc"}, tmp_path / "x.changes")
    assert folder.parent == tmp_path


@pytest.mark.parametrize("name", ACTIONS)
def test_an_empty_message_is_refused_with_a_reason(name) -> None:
    if name == "words":
        return
    with pytest.raises(OptionError, match="cannot read the message"):
        act({"do": name}, None)  # type: ignore[arg-type]


def test_what_was_not_made_is_said_once_for_each_reason() -> None:
    failed = [(f"drills/{number}.mp3", "No space left on device") for number in range(60)]
    assert failed_words([*failed, ("x.pdf", "no font")]) == [
        "drills/0.mp3 and 59 more: No space left on device",
        "x.pdf: no font",
    ]


def test_single_tracks_are_ticked_and_the_student_gets_them() -> None:
    ticked = [[0.8, "practice"], [1, "band"]]
    ordered, _ = lesson_order({"text": TUNE, "tracks": ticked}, Path("x.changes"))
    source = replace(ordered, groups=())
    jobs = lesson_jobs(source)
    tracks = [job for job in jobs if job.kind == "track"]
    assert [job.argument for job in tracks] == ["96 chords", "120"]
    assert all(job.outputs[0].startswith("for-the-student/tracks/") for job in tracks)
    whole = {job.outputs: job.digest for job in lesson_jobs(replace(source, tracks=()))}
    assert all(whole[job.outputs] == job.digest for job in jobs), "ticks make nothing anew"
    assert sum("/tracks/" in outputs[0] for outputs in whole) == 6
    assert [job.kind for job in lesson_jobs(ordered)] == ["practice page", "compare"]
