"""``porchswing film``: the script against the track, the folder, what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner, Result

from porchswing.cli.main import group
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.options import Choices
from porchswing.pages.film import movie
from porchswing.pages.film.pictures import distinct_pictures
from support.films import SHORT, film_and_take


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "two.changes"
    path.write_text(SHORT, "utf-8")
    return path


def run(*words: object) -> Result:
    return CliRunner().invoke(group, [str(word) for word in words])


@pytest.mark.parametrize(
    "more",
    [(), ("--tempo", "87.3"), ("--swing", "3", "--humanize", "1"), ("--choruses", "3", "--loop")],
    ids=" ".join,
)
@pytest.mark.parametrize("rate", ["24", "29.97"])
def test_the_script_is_true_to_the_track_render_makes(
    chart: Path, tmp_path: Path, rate: str, more: tuple[str, ...]
) -> None:
    """Two commands, two files; the MIDI as mido reads it."""
    midi, script = tmp_path / "a.mid", tmp_path / "a.txt"
    assert run("render", chart, "-o", midi, "-q", *more).exit_code == 0
    assert run("film", chart, "-o", script, "--frames", rate, "-q", *more).exit_code == 0
    onsets = chord_onsets_s(midi)
    per_second = {"24": 24.0, "29.97": 30000 / 1001}[rate]
    rows = re.findall(r"^  strum: (.*)$", script.read_text("utf-8"), re.MULTILINE)
    strokes = [int(word) for row in rows for word in re.findall(r" (\d+)(?:,|$| \()", row)]
    assert len(strokes) >= 8
    for frame in strokes:
        assert min(abs(onset * per_second - frame) for onset in onsets) <= 0.51
    spans = [onset for onset in onsets if min(abs(onset * per_second - f) for f in strokes) > 3]
    assert not spans, "a chord sounds that the script has no stroke for"


def chord_onsets_s(path: Path) -> list[float]:
    file = mido.MidiFile(path)
    number = next(n for n, track in enumerate(file.tracks) if track.name == "chords")
    channels = {m.channel for m in file.tracks[number] if m.type == "note_on"}
    found, at = [], 0.0
    for message in file:
        at += message.time
        if message.type == "note_on" and message.velocity and message.channel in channels:
            found.append(at)
    return found


def test_a_folder_without_ffmpeg_holds_numbered_pictures_and_a_list(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(movie, "has_ffmpeg", lambda: False)
    out = tmp_path / "film"
    done = run("film", chart, "-o", out, "--count-in", "0", "--picture", "9:16")
    assert done.exit_code == 0, done.output
    assert "No ffmpeg here" in done.output
    rows = [row.split("\t") for row in (out / "pictures.txt").read_text("utf-8").splitlines()[1:]]
    at = 0
    for first, frames, name in rows:
        assert int(first) == at
        assert name == f"pictures/{at:06d}.png"
        assert png_size((out / name).read_bytes()) == (1080, 1920)
        at += int(frames)
    assert {path.name for path in (out / "pictures").iterdir()} == {
        f"{int(row[0]):06d}.png" for row in rows
    }
    assert min(path.name for path in (out / "grips").iterdir()) == "01-F6_5555.png"
    assert (out / "script.txt").read_text("utf-8").startswith("Two Bars: what is played\n30 frames")
    faster = run("film", chart, "-o", out, "--count-in", "0", "--tempo", "200", "--picture", "9:16")
    assert faster.exit_code == 0, faster.output
    left = {path.name for path in (out / "pictures").iterdir()}
    again = (out / "pictures.txt").read_text("utf-8").splitlines()[1:]
    assert left == {f"{int(row.split()[0]):06d}.png" for row in again}, "none of the slower film"


def png_size(png: bytes) -> tuple[int, int]:
    """ISO/IEC 15948 (PNG), section 11.2.2: width and height stand first in IHDR."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert png[25] == 6, "true colour with alpha"
    return int.from_bytes(png[16:20], "big"), int.from_bytes(png[20:24], "big")


def test_a_video_without_ffmpeg_is_refused_with_what_to_do(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(movie, "has_ffmpeg", lambda: False)
    done = run("film", chart, "-o", tmp_path / "film.mov")
    assert done.exit_code == 1
    assert "name a folder" in done.output
    assert not (tmp_path / "film.mov").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "film.mp4"), ".mov or .txt or to a folder, got film.mp4"),
        (("-o", "film.mov", "--pictures"), "--pictures acts in a folder"),
        (("-o", "film.mov", "--frames", "60"), "60"),
        (("-o", "film.mov", "--drums", "sticks"), "--drums cannot act here"),
        (("-o", "film.mov", "--loudness", "-20"), "--loudness acts on recordings"),
    ],
)
def test_what_cannot_be_made_is_refused(chart: Path, words: tuple[str, ...], said: str) -> None:
    done = run("film", chart, *words)
    assert done.exit_code == 2
    assert said in done.output


def test_facts_as_json(chart: Path, tmp_path: Path) -> None:
    script = tmp_path / "a.txt"
    done = run("film", chart, "-o", script, "--json", "--frames", "29.97", "--picture", "9:16")
    facts = json.loads(done.stdout)
    assert facts["files"] == [str(script)]
    assert facts["rate"] == [30000, 1001]
    assert facts["size"] == [1080, 1920]
    assert facts["frames"] == pytest.approx(facts["seconds"] * 30000 / 1001, abs=0.1)


def test_left_handed_players_see_their_grips() -> None:
    film, _ = film_and_take(SHORT, Choices(left_handed=True))
    pictures, _ = distinct_pictures(film)
    grip = film.bars[0].chords_s[1][0].grip
    assert grip is not None
    assert grip.tuning.is_left_handed
    assert json.dumps(grip_svg(grip, has_plate=True))[1:-1] in "".join(pictures)
    usual, _ = distinct_pictures(film_and_take(SHORT)[0])
    assert len(usual) == len(pictures)
    assert not set(usual) & set(pictures)


def test_a_tune_of_silence_has_pictures_and_no_stills(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(movie, "has_ffmpeg", lambda: False)
    chart = tmp_path / "hush.changes"
    chart.write_text("title: Hush\nkey: C\n[A]\n| N.C. | N.C. |\n", "utf-8")
    done = run("film", chart, "-o", tmp_path / "film", "--count-in", "0")
    assert done.exit_code == 0, done.output
    assert not (tmp_path / "film" / "grips").exists()
    assert "N.C., silence" in (tmp_path / "film" / "script.txt").read_text("utf-8")
