"""The page in a reader that runs no scripts, as mail programs and previewers do."""

from __future__ import annotations

import base64
import io
import re
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import soundfile

from porchswing.pages.practice.page_sound import MOST_TRACK_BYTES, plain_track
from porchswing.pages.practice.practice_page import practice_page
from porchswing.pages.practice.task import parse_task
from support.chromium import PHONE, violations
from support.made import TUNE
from support.practice_lanes import WALTZ, chart_and_lanes, silent_pages


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("page") / "practice.html"
    task = parse_task("bars 5-8 at 80 %")
    with silent_pages(with_track=True):
        file.write_text(practice_page(*chart_and_lanes(TUNE), task=task), "utf-8")
    return file


@pytest.fixture
def page(browser: Any, page_file: Path) -> Any:
    """A strict previewer: no scripts, no network; every address but the page itself is refused."""
    context = browser.new_context(java_script_enabled=False, offline=True, **PHONE)
    context.route(
        "**/*",
        lambda route: route.continue_() if "practice" in route.request.url else route.abort(),
    )
    page = context.new_page()
    page.goto(page_file.as_uri())
    yield page
    context.close()


def test_chart_grips_task_and_player_are_there_and_nothing_dead_is(page: Any) -> None:
    words = page.inner_text("#boards")
    for symbol in ("Gm7", "B♭m6", "F♯°7"):
        assert symbol in re.sub(r"\s", "", words)
    assert page.locator(".plank:visible").count() == 36
    drawn = page.locator(".plank svg.small:visible")
    assert drawn.count() >= 36
    assert drawn.first.bounding_box()["width"] > 60
    assert page.locator("#gallery svg:visible").count() > 5
    assert "bars 5 to 8 at 80 %" in page.inner_text(".task")
    assert page.is_visible("audio")
    assert page.locator("button:visible, input:visible").count() == 0
    assert "no scripts" in page.inner_text("body")[:200]


@pytest.fixture
def held(browser: Any, page_file: Path) -> Iterator[Any]:
    """Return the page with scripts on, to measure by, held in the state it has without them."""
    context = browser.new_context(**PHONE)
    page = context.new_page()
    page.goto(page_file.as_uri())
    page.wait_for_selector("html:not(.waking)")
    page.evaluate("document.documentElement.className = 'still'")
    yield page
    context.close()


def test_nothing_is_cut_off_on_a_phone(held: Any) -> None:
    for width in (320, 390):
        held.set_viewport_size({"width": width, "height": 700})
        assert held.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
        spilled = held.evaluate(
            """() => [...document.querySelectorAll('.plank')].filter((plank) => {
              const edge = plank.getBoundingClientRect().right + 1;
              return [...plank.querySelectorAll('.root, .quality, .bass, .small')]
                .some((part) => part.getBoundingClientRect().right > edge);
            }).length"""
        )
        assert spilled == 0


def test_axe_finds_nothing_without_scripts(
    held: Any, root: Path, need_file: Callable[[Path, str], Path]
) -> None:
    """axe-core 4.14 (Deque, MPL-2.0) in the page held as it is without scripts."""
    axe = need_file(root / ".cache/axe-core/axe.min.js", "npm pack axe-core into .cache")
    held.evaluate(axe.read_text("utf-8"))
    for scheme in ("light", "dark"):
        held.emulate_media(color_scheme=scheme)
        held.wait_for_timeout(200)  # a bar's colour takes 120 ms to change
        assert violations(held) == []


def test_the_recording_is_a_small_mp3_of_the_band(page_file: Path) -> None:
    found = re.search(r'src="data:audio/mpeg;base64,([^"]+)"', page_file.read_text("utf-8"))
    assert found is not None
    audio = base64.b64decode(found[1])
    assert len(audio) < 1_000_000
    samples, rate = soundfile.read(io.BytesIO(audio))
    assert 0.05 < abs(samples).max() <= 1
    _, lanes = chart_and_lanes(TUNE)
    ring_s = samples.size / rate - lanes[0].performance.end_s
    assert 0 <= ring_s < 4, "all of it, and the last chord's ring"


def test_a_long_tune_has_a_shorter_recording_that_says_so() -> None:
    _, lanes = chart_and_lanes(TUNE.replace("138", "60"), names=("plain",), choruses=2)
    track = plain_track(lanes[0].performance)
    assert not track.is_whole
    assert len(track.audio) <= MOST_TRACK_BYTES * 1.02
    assert track.seconds < lanes[0].performance.end_s


def test_the_recording_is_as_loud_as_our_tracks(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    """FFmpeg's own meter (EBU R 128), the mono file heard from two speakers: -18 LUFS within 1."""
    _, lanes = chart_and_lanes(WALTZ, names=("swing",))
    file = tmp_path / "track.mp3"
    file.write_bytes(plain_track(lanes[0].performance).audio)
    meter = ["-af", "ebur128=dualmono=true", "-f", "null", "-"]
    command = [need_program("ffmpeg"), "-i", str(file), *meter]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    measured = re.findall(r"I:\s+(-?[\d.]+) LUFS", done.stderr)[-1]
    assert float(measured) == pytest.approx(-18, abs=1)
