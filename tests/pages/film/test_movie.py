"""The video as ffmpeg reads it: rate, alpha, colour, and the frames that differ."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import groupby
from pathlib import Path

import numpy as np
import pytest

from porchswing.errors import OutputError
from porchswing.options import BandStyle, Choices
from porchswing.pages.film import movie
from porchswing.pages.film.movie import write_video
from porchswing.pages.film.pictures import LAYOUTS, distinct_pictures
from porchswing.pages.film.scenes import MOST_FLASHES_HZ, Film
from support.films import SHORT, decoded, film_and_take, probed

RATE = Fraction(30000, 1001)
PLATE = (255, 250, 240)
FAST = "title: Fast\nkey: C\ntempo: 236\nstrum: four\n[A]\nplain | C Am | Dm G7 | C F | G7 C |\n"


@pytest.fixture(scope="module")
def film() -> Film:
    return film_and_take(SHORT, Choices(style=BandStyle(count_in_bars=0)), RATE)[0]


@pytest.fixture(scope="module")
def video(film: Film, tmp_path_factory: pytest.TempPathFactory, need_program: Callable) -> Path:
    need_program("ffmpeg")
    path = tmp_path_factory.mktemp("film") / "wide.mov"
    write_video(path, film, LAYOUTS["16:9"], lambda share: None)
    return path


def test_every_frame_is_as_long_as_every_other(
    film: Film, video: Path, need_program: Callable[[str], str]
) -> None:
    said = probed(need_program("ffprobe"), video, "-show_streams", "-show_packets")
    stream, packets = said["streams"][0], said["packets"]
    assert stream["codec_tag_string"] == "ap4h"
    assert (stream["width"], stream["height"]) == (1920, 1080)
    assert stream["avg_frame_rate"] == stream["r_frame_rate"] == "30000/1001"
    assert (stream["color_space"], stream["color_range"]) == ("bt709", "tv")
    assert len(packets) == int(stream["nb_frames"]) == film.frames
    assert {packet["duration"] for packet in packets} == {1001}
    assert [packet["pts"] for packet in packets] == list(range(0, 1001 * film.frames, 1001))
    assert all(packet["flags"].startswith("K") for packet in packets), "every frame whole"
    assert float(stream["duration"]) == pytest.approx(film.duration_s, abs=1e-4)


def test_decoded_frames_change_where_the_shots_do(
    film: Film, video: Path, need_program: Callable[[str], str]
) -> None:
    raw = decoded(need_program("ffmpeg"), video, "-vf", "crop=1700:310:110:690", "-pix_fmt", "gray")
    frames = np.frombuffer(raw, np.uint8).reshape(-1, 310 * 1700)
    firsts = [0] + [n for n in range(1, len(frames)) if np.any(frames[n] != frames[n - 1])]
    _, order = distinct_pictures(film)
    assert len(frames) == film.frames
    assert len(set(order)) == len(order) > 8
    assert firsts == [shot.first_frame for shot in film.shots]


@pytest.mark.parametrize("sides", LAYOUTS)
def test_around_the_plate_it_is_transparent_and_the_plate_has_our_colour(
    sides: str, film: Film, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    layout = LAYOUTS[sides]
    path = tmp_path / "film.mov"
    short = Film(film.title, film.rate, film.meter, film.bars, film.shots[:2])
    write_video(path, short, layout, lambda share: None)
    raw = decoded(need_program("ffmpeg"), path, "-pix_fmt", "rgba", "-frames:v", "1")
    frame = np.frombuffer(raw, np.uint8).reshape(layout.height, layout.width, 4)
    left, top, width, height = layout.panel
    alpha = frame[..., 3]
    inside = np.zeros(alpha.shape, bool)
    inside[top : top + height, left : left + width] = True
    assert np.all(alpha[~inside] == 0)
    assert np.all(alpha[top + 30 : top + height - 30, left + 30 : left + width - 30] == 255)
    shown = frame[inside][:, :3].astype(int)
    assert np.abs(np.median(shown, axis=0) - PLATE).max() <= 2
    assert np.abs(frame[0, 0, :3].astype(int) - PLATE).max() <= 2, "no dark seam in an editor"
    ink = np.all(shown < 80, axis=1).mean()
    glow = np.all(np.abs(shown - (255, 198, 92)) < 12, axis=1).mean()
    assert 0.01 < ink < 0.2
    assert 0.005 < glow < 0.1


def test_the_same_film_is_the_same_bytes(film: Film, video: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.mov"
    write_video(again, film, LAYOUTS["16:9"], lambda share: None)
    assert again.read_bytes() == video.read_bytes()


def test_no_part_of_the_picture_flashes(tmp_path: Path, need_program: Callable[[str], str]) -> None:
    """WCAG 2.3.1 on the decoded picture, just slow enough for lights.

    A flash is a pair of opposing changes of relative luminance of a tenth or more, the darker below
    0.8 (WCAG 2.2, general flash); less than a quarter of 341 × 256 of 1024 × 768 is allowed.
    """
    style = BandStyle(count_in_bars=0)
    film = film_and_take(FAST, Choices(lane="plain", style=style))[0]
    path = tmp_path / "fast.mov"
    write_video(path, film, LAYOUTS["16:9"], lambda share: None)
    quarter = ("-vf", "crop=1700:310:110:690,scale=425:78:flags=area", "-pix_fmt", "rgb24")
    raw = np.frombuffer(decoded(need_program("ffmpeg"), path, *quarter), np.uint8)
    linear = (np.arange(256, dtype=np.float32) / 255) ** 2.2
    luminance = linear[raw.reshape(-1, 78 * 425, 3)] @ np.array(
        [0.2126, 0.7152, 0.0722], np.float32
    )
    steps = np.diff(luminance, axis=0)
    darker = np.minimum(luminance[1:], luminance[:-1]) < 0.8
    changes = (np.abs(steps) >= 0.1) & darker
    second = round(film.rate)
    most = max(
        int((changes[at : at + second].sum(axis=0) > 2 * MOST_FLASHES_HZ).sum())
        for at in range(0, len(changes) - second + 1, 5)
    )
    assert changes.any()
    assert most < 341 * 256 / 4 * (1920 / 4 / 1024) ** 2


def test_the_distinct_pictures_are_few(film: Film) -> None:
    twice = film_and_take(SHORT, Choices(choruses=8, humanize=0.0), RATE)[0]
    pictures, order = distinct_pictures(twice)
    assert len(order) == len(twice.shots)
    assert len(pictures) < len(order) / 2 < twice.frames / 4
    assert [len(list(run)) for _, run in groupby(order)] == [1] * len(order)


def test_without_ffmpeg_it_says_what_to_do(
    film: Film, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(movie, "has_ffmpeg", lambda: False)
    with pytest.raises(OutputError, match="name a folder"):
        write_video(tmp_path / "film.mov", film, LAYOUTS["16:9"], lambda share: None)


def test_an_ffmpeg_that_fails_is_an_error_with_its_words(
    film: Film, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "ffmpeg"
    broken.write_text("#!/bin/sh\necho the moon is full >&2\nexit 3\n", "utf-8")
    broken.chmod(0o755)
    monkeypatch.setattr(movie, "FFMPEG", str(broken))
    with pytest.raises(OutputError, match="the moon is full"):
        write_video(tmp_path / "film.mov", film, LAYOUTS["16:9"], lambda share: None)
