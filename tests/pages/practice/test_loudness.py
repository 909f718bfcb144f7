"""The page is as loud as the tracks: Chromium's own rendering against our MP3 of the same take."""

from __future__ import annotations

import base64
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from porchswing.file_formats import NO_TAGS
from porchswing.lesson.lesson_job import make_track
from porchswing.lesson.source import LessonSource
from porchswing.pages.practice.page_data import tune_data
from porchswing.pages.practice.page_lane import PageLane
from porchswing.pages.practice.page_sound import sound_strip
from porchswing.take import lead_and_grips, road_of, take_along
from support.chromium import Opened
from support.made import TUNE
from support.practice_lanes import probe_page

RATE_HZ = 44100
WITHIN_LU = 2.0
SHORT = TUNE.replace("form:   A A B A", "form:   A")
"""The demo's first eight bars and its tag: every part plays in them."""


def lufs(path: Path, ffmpeg: str) -> float:
    """FFmpeg's meter (EBU R 128), which we did not write."""
    command = [ffmpeg, "-i", str(path), "-af", "ebur128", "-f", "null", "-"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return float(re.findall(r"I:\s+(-?[\d.]+) LUFS", done.stderr)[-1])


def test_the_page_is_within_two_units_of_the_track(
    browser: Any, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    ffmpeg = need_program("ffmpeg")
    source = LessonSource(SHORT, "tune.changes", "tune")
    track = tmp_path / "track.mp3"
    make_track(source, f"{source.chart.tempo_bpm:g}", [track], NO_TAGS)
    lead, voicing = lead_and_grips(source.chart, source.choices)
    roadmap = road_of(lead.chart, source.choices)
    take = take_along(lead.chart, roadmap, voicing, source.choices)
    lane = PageLane("swing", roadmap, voicing, take.score, take.performance)
    strip = sound_strip([lane])
    audio = base64.b64encode(strip.audio).decode("ascii")
    file = tmp_path / "probe.html"
    file.write_text(probe_page(tune_data(lead.chart, [lane], strip), audio), "utf-8")
    with Opened(browser, file) as opened:
        text = opened.page.evaluate(
            "([seconds, rate]) => window.probe.samples(seconds, rate, {}, null, 2)",
            [take.performance.end_s, RATE_HZ],
        )
    samples = np.frombuffer(base64.b64decode(text), np.float32).reshape(2, -1).T
    heard = tmp_path / "page.wav"
    soundfile.write(heard, samples, RATE_HZ, subtype="FLOAT")
    page_lufs, track_lufs = lufs(heard, ffmpeg), lufs(track, ffmpeg)
    assert abs(page_lufs - track_lufs) < WITHIN_LU, f"page {page_lufs}, track {track_lufs}"
    assert np.abs(samples).max() < 1.0
