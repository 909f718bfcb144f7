"""Writing what was played: by suffix alone, tags that others read, the same bytes every time."""

from __future__ import annotations

import json
import subprocess
from dataclasses import replace
from pathlib import Path

import mido
import pytest
import soundfile

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.errors import OptionError
from porchswing.file_formats import ALL, BY_SUFFIX, FORMATS, SOUND, Tags
from porchswing.options import Choices, SoundSettings
from porchswing.recording import CUES, write_performance
from porchswing.take import take_from_chart
from porchswing.take_model import Take

TAGS = Tags("Gate Latch", "Ann Öre", "First term", 7)


@pytest.fixture(scope="module")
def take() -> Take:
    chart = parse_chart("title: Gate Latch\nby: Ann Öre\n[A]\n| F | C7 |")
    return take_from_chart(chart, Choices())


def test_every_format_is_written_and_read_by_others(take: Take, tmp_path: Path) -> None:
    paths = [tmp_path / f"a.{suffix}" for suffix in (*ALL, CUES)]
    report = write_performance(take.performance, paths, tags=TAGS)
    assert report is not None
    assert [path.suffix[1:] for path in report.paths] == list(SOUND)
    assert mido.MidiFile(paths[0]).length > 1
    assert paths[-1].read_text("utf-8").startswith("WEBVTT")
    for suffix in SOUND:
        with soundfile.SoundFile(tmp_path / f"a.{suffix}") as file:
            assert file.frames > 44_100


@pytest.mark.parametrize("suffix", SOUND)
def test_tags_are_read_by_libsndfile_and_ffmpeg(
    take: Take, tmp_path: Path, suffix: str, need_program: object
) -> None:
    """What FFmpeg's ffprobe and libsndfile find in the file (two readers we did not write)."""
    path = tmp_path / f"a.{suffix}"
    write_performance(take.performance, [path], tags=TAGS)
    with soundfile.SoundFile(path) as file:
        assert (file.title, file.artist, file.album) == ("Gate Latch", "Ann Öre", "First term")
    need_program("ffprobe")  # type: ignore[operator]
    command = ["ffprobe", "-v", "error", "-show_format", "-show_streams", "-of", "json", path]
    told = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
    rows = {**told["streams"][0].get("tags", {}), **told["format"].get("tags", {})}
    found = {name.casefold(): text for name, text in rows.items()}
    assert found["title"] == "Gate Latch"
    assert found["artist"] == "Ann Öre"
    assert found["album"] == "First term"
    assert found.get("track", found.get("tracknumber")) == "7"


@pytest.mark.parametrize("suffix", SOUND)
def test_the_same_bytes_every_time(take: Take, tmp_path: Path, suffix: str) -> None:
    paths = [tmp_path / f"{name}.{suffix}" for name in "ab"]
    for path in paths:
        write_performance(take.performance, [path], tags=TAGS)
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_tags_change_no_sample_and_no_midi(take: Take, tmp_path: Path) -> None:
    for name, tags in (("a", Tags()), ("b", TAGS)):
        write_performance(
            take.performance, [tmp_path / f"{name}.wav", tmp_path / f"{name}.mid"], tags=tags
        )
    plain, tagged = (soundfile.read(tmp_path / f"{name}.wav")[0] for name in "ab")
    assert (plain == tagged).all()
    assert (tmp_path / "a.mid").read_bytes() == (tmp_path / "b.mid").read_bytes()
    assert (tmp_path / "a.wav").stat().st_size < (tmp_path / "b.wav").stat().st_size


def test_a_take_carries_its_charts_title_and_artist(take: Take, tmp_path: Path) -> None:
    take.write_audio(tmp_path / "a.flac")
    with soundfile.SoundFile(tmp_path / "a.flac") as file:
        assert (file.title, file.artist, file.album) == ("Gate Latch", "Ann Öre", "")
    take.write_stems({"bass": tmp_path / "b.flac"})
    with soundfile.SoundFile(tmp_path / "b.flac") as file:
        assert file.title == "Gate Latch: bass"


def test_an_unknown_suffix_is_refused_before_anything_is_written(
    take: Take, tmp_path: Path
) -> None:
    with pytest.raises(OptionError, match=r"suffix of 'a\.xyz' must be one of \.mid, \.wav"):
        write_performance(take.performance, [tmp_path / "a.mid", tmp_path / "a.xyz"])
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("row", FORMATS, ids=lambda row: row.suffix)
def test_a_row_of_the_formats_is_what_libsndfile_knows(row: object) -> None:
    """libsndfile's own tables of containers and codings."""
    if not row.is_sound:  # type: ignore[attr-defined]
        return
    for coding in row.coding:  # type: ignore[attr-defined]
        assert soundfile.check_format(row.container, coding)  # type: ignore[attr-defined]


@pytest.mark.parametrize("suffix", ["wav", "flac"])
def test_settings_reach_the_file(take: Take, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"a.{suffix}"
    choices = replace(take.choices, sound=SoundSettings(rate_hz=22_050, bit_depth=24))
    replace(take, choices=choices).write_audio(path)
    with soundfile.SoundFile(path) as file:
        assert (file.samplerate, file.subtype) == (22_050, "PCM_24")


@pytest.mark.parametrize("bit_depth", [16, 24])
def test_a_formats_rate_is_about_what_is_written(
    tmp_path: Path, root: Path, bit_depth: int
) -> None:
    chart = read_chart(root / "demos" / "pickled_lemon_blues.changes")
    paths = [tmp_path / f"a.{suffix}" for suffix in SOUND]
    sound = SoundSettings(bit_depth=bit_depth)
    report = take_from_chart(chart, Choices(sound=sound)).write(paths)
    assert report is not None
    for path in paths:
        rate = BY_SUFFIX[path.suffix[1:]].bytes_per_s(sound.rate_hz, bit_depth)
        assert 0.7 < rate * report.seconds / path.stat().st_size < 1.4, path.suffix
