"""The practice page in real Chromium (Debian's), driven by playwright.

Outside checks: scheduled times against the library's own performance over five minutes, what
``OfflineAudioContext`` renders against the library's own samples, and axe-core's rules.
"""

from __future__ import annotations

import base64
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from porchswing.audio.mix.mixdown import render_blocks
from porchswing.options import BandStyle
from porchswing.pages.practice.page_data import tune_data
from porchswing.pages.practice.page_sound import sound_strip
from porchswing.pages.practice.practice_page import practice_page
from porchswing.performance.model import Performance
from support.chromium import DESKTOP, PHONE, Opened, Timed, violations
from support.made import TUNE
from support.practice_lanes import WALTZ, chart_and_lanes, probe_page, silent_strip

DEVICES = [
    pytest.param(DESKTOP, id="desktop"),
    pytest.param(PHONE, marks=pytest.mark.slow, id="phone"),
]
"""What plays is the same on both; how each looks is tested at every size."""


@pytest.fixture(params=DEVICES)
def opened(request, browser, page_file) -> Iterator[Opened]:
    with Opened(browser, page_file, **request.param) as opened:
        yield opened


@pytest.fixture(params=DEVICES)
def timed(request, browser, page_file) -> Iterator[Timed]:
    with Timed(browser, page_file, **request.param) as timed:
        yield timed


def onsets_of(performance: Performance) -> np.ndarray:
    return np.sort([note.onset_s for part in performance.parts for note in part.notes])


def test_it_plays_the_librarys_performance_as_it_is_heard(timed) -> None:
    """The first seconds of the page itself: every start stands where the performance has it."""
    timed.play()
    timed.run_until("window.starts.length >= 60")
    starts = np.array(timed.starts())
    _, lanes = chart_and_lanes(TUNE)
    own = onsets_of(lanes[0].performance)[: starts.size]
    assert np.abs((starts - starts[0]) - (own - own[0])).max() < 0.001


def test_tempo_and_swing_change_while_it_plays(timed) -> None:
    page = timed.page
    if page.is_visible("#open-setup"):
        page.click("#open-setup")
    page.evaluate("document.querySelector('#speed').focus()")
    timed.play()
    timed.run(4.5)
    page.locator("#speed").fill("60")
    assert "83 bpm, 60 %" in page.inner_text("#speed-words")
    page.locator("#ratio").fill("1")
    assert "straight" in page.inner_text("#ratio-words")
    assert page.get_attribute("#own-swing", "aria-pressed") == "false"
    changed = page.evaluate("window.starts.length")
    timed.run(3)
    starts = page.evaluate("window.starts")
    assert len(starts) > changed + 10
    later = np.unique(np.round(np.array(sorted(starts[changed + 8 :])), 2))
    beat = 60 / (138 * 0.6)
    # the whole band is near the half beats of the new tempo, counted from its own onsets
    phase = ((later - later[0]) / (beat / 2) + 0.5) % 1 - 0.5
    assert np.median(np.abs(phase)) < 0.06


def test_a_loop_by_touching_two_bars_stays_inside(timed) -> None:
    page = timed.page
    page.click("#loop")
    page.click("[data-place='4']")
    page.click("[data-place='5']")
    assert page.inner_text("#loop-words") == "Loop: bars 5 to 6."
    assert page.get_attribute("[data-place='4']", "aria-pressed") == "true"
    assert page.get_attribute("[data-place='6']", "aria-pressed") == "false"
    page.locator("#speed").fill("150")
    timed.play()
    timed.run(7)
    assert timed.places()[:4] == [4, 5, 4, 5]
    assert set(timed.places()) == {4, 5}
    page.keyboard.press("Escape")
    page.click("#play")
    assert page.get_attribute("[data-place='3']", "aria-pressed") == "false"
    assert "Loop" not in page.inner_text("#loop-words")


def test_a_muted_part_is_silent_and_comes_back(opened) -> None:
    """Levels are gains that glide: the chord part's is 0 when muted, 1 when not."""
    page = opened.page
    page.evaluate(
        """() => {
          window.glides = [];
          const own = AudioParam.prototype.setTargetAtTime;
          AudioParam.prototype.setTargetAtTime = function (value) {
            window.glides.push(value);
            return own.apply(this, arguments);
          };
        }"""
    )
    opened.play()
    if page.is_visible("#open-setup"):
        page.click("#open-setup")
    mute = page.locator("[data-part='chords']")
    page.evaluate("window.glides.length = 0")
    mute.click()
    assert mute.get_attribute("aria-checked") == "false"
    assert "muted" in mute.inner_text()
    assert 0 in page.evaluate("window.glides")
    page.evaluate("window.glides.length = 0")
    mute.click()
    assert page.evaluate("window.glides.includes(0)") is False
    assert 1 in page.evaluate("window.glides")


def test_play_and_loop_by_keyboard_alone(browser, page_file) -> None:
    with Opened(browser, page_file, **DESKTOP) as opened:
        page = opened.page
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == "play"
        page.keyboard.press("Enter")
        page.wait_for_selector("body.sounding", timeout=20000)
        page.keyboard.press(" ")
        page.wait_for_selector("body:not(.sounding)")
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.dataset.place") == "0":
                break
        for key in ("End", "Home", "ArrowRight", "ArrowRight", "ArrowRight", "ArrowRight", "Enter"):
            page.keyboard.press(key)
        page.keyboard.press("[")
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline == "solid"
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        page.keyboard.press("]")
        assert page.inner_text("#loop-words") == "Loop: bars 5 to 6. Starts at bar 6."
        page.keyboard.press("Escape")
        assert "Loop" not in page.inner_text("#loop-words")


def test_listen_then_answer_says_whose_turn_it_is(browser, page_file) -> None:
    with Timed(browser, page_file, **DESKTOP) as timed:
        page = timed.page
        page.click("#modes [data-value='answer']")
        page.click("#counts [data-value='none']")
        page.click("#loop")
        page.click("[data-place='0']")
        page.click("[data-place='0']")
        page.locator("#speed").fill("150")
        timed.play()
        words = set()
        for _ in range(50):
            timed.run(0.1)
            words.add(page.inner_text("#turn"))
        assert {"Listen", "Your turn: you play the chords"} <= words


def test_it_stops_and_ends_and_can_be_started_again(browser, tmp_path) -> None:
    short = "title: Two Bars\nkey: C\ntempo: 240\n[A]\n| C | G7 |\n"
    file = tmp_path / "short.html"
    file.write_text(practice_page(*chart_and_lanes(short, choruses=1)), "utf-8")
    with Timed(browser, file, **PHONE) as timed:
        timed.play()
        timed.run_until("!document.body.classList.contains('sounding')")
        assert timed.page.inner_text("#play-words") == "Play"
        first = len(timed.starts())
        timed.play()
        timed.run(0.3)
        timed.page.click("#play")
        assert timed.page.inner_text("#play-words") == "Play"
        assert len(timed.starts()) > first


def test_scheduled_times_equal_the_performance_over_five_minutes(browser, tmp_path) -> None:
    """Within 1 ms, parts apart (feel), human timing and ritardando included."""
    text = TUNE.replace("138", "100")
    style = BandStyle(feel=1.0, ritardando=0.3)
    chart, lanes = chart_and_lanes(text, names=("swing",), choruses=4, style=style, humanize=0.6)
    performance = lanes[0].performance
    assert performance.end_s > 300
    file = tmp_path / "probe.html"
    tune = tune_data(chart, lanes, silent_strip(lanes))
    file.write_text(probe_page(tune, ""), "utf-8")
    with Opened(browser, file) as opened:
        planned = opened.page.evaluate("window.probe.times({})")
    for part in performance.parts:
        own = np.sort([note.onset_s for note in part.notes])
        page = np.sort([onset for onset, _ in planned[part.name]])
        assert page.size == own.size
        assert np.abs(page - own).max() < 0.001, part.name


def listened(opened: Opened, seconds: float, rate_hz: int, parts: list[str]) -> np.ndarray:
    """Return the page's own rendering, mono."""
    text = opened.page.evaluate(
        "([seconds, rate, parts]) => window.probe.samples(seconds, rate, {}, parts)",
        [seconds, rate_hz, parts],
    )
    return np.frombuffer(base64.b64decode(text), np.float32)


def onset_times(
    samples: np.ndarray, near: np.ndarray, rate_hz: int
) -> tuple[np.ndarray, np.ndarray]:
    """Return where the sound near each time begins, in seconds, and by how many dB it rises.

    Loudness of the highs over 1 ms; a sound begins where it first passes halfway, in dB, from
    the loudest of the 20 ms before to the loudest of the next 12 ms.
    """
    high = np.diff(samples, prepend=samples[:1])
    energy = np.convolve(high**2, np.ones(rate_hz // 1000) / (rate_hz // 1000))[: samples.size]
    level = 10 * np.log10(energy + 1e-12)
    found, rises = [], []
    for at in near:
        centre = round(at * rate_hz)
        first = centre - rate_hz // 250
        quiet = level[max(0, centre - rate_hz // 40) : first].max(initial=-120.0)
        after = level[first : centre + rate_hz // 80]
        found.append((first + int(np.argmax(after > (quiet + after.max()) / 2))) / rate_hz)
        rises.append(after.max() - quiet)
    return np.array(found), np.array(rises)


def lags_s(page: np.ndarray, wav: np.ndarray, near: np.ndarray, rate_hz: int) -> np.ndarray:
    """Return how much later than the WAV's the page's wave is at each time, in seconds.

    The lag of the largest correlation of 83 ms of sound, up to 12 ms either way.
    """
    reach, length = rate_hz // 80, rate_hz // 12
    found = []
    for at in near:
        first = round(at * rate_hz) - rate_hz // 200
        own = wav[first : first + length]
        alike = []
        for lag in range(-reach, reach + 1):
            heard = page[first + lag : first + lag + length]
            alike.append(float(own @ heard) / np.sqrt(float(heard @ heard) + 1e-12))
        found.append((int(np.argmax(alike)) - reach) / rate_hz)
    return np.array(found)


@pytest.fixture(scope="module")
def probed(tmp_path_factory) -> tuple[Path, Performance, float]:
    """Return a page that only opens the probe, what it plays, and the sound's gain in it."""
    chart, lanes = chart_and_lanes(
        WALTZ.replace("3/4", "4/4"), names=("swing",), style=BandStyle(drums="ride")
    )
    strip = sound_strip(lanes)
    file = tmp_path_factory.mktemp("probe") / "probe.html"
    audio = base64.b64encode(strip.audio).decode("ascii")
    file.write_text(probe_page(tune_data(chart, lanes, strip), audio), "utf-8")
    return file, lanes[0].performance, strip.master_gain


@pytest.mark.parametrize(
    ("part", "rate_hz"),
    [
        ("chords", 48000),
        ("drums", 44100),
        *(
            pytest.param(*each, marks=pytest.mark.slow)
            for each in (("bass", 44100), ("chords", 44100))
        ),
    ],
)
def test_the_page_sounds_when_the_wav_sounds(part, rate_hz, browser, probed) -> None:
    """OfflineAudioContext in Chromium against the library's samples: onsets within 2 ms."""
    file, performance, gain = probed
    seconds = performance.end_s
    with Opened(browser, file) as opened:
        page = listened(opened, seconds, rate_hz, [part])
    blocks = list(render_blocks(performance, rate_hz, parts=[part]))
    wav = np.concatenate(blocks).mean(axis=1)[: page.size] * gain
    level = 20 * np.log10(np.sqrt(np.mean(page**2)) / np.sqrt(np.mean(wav**2)))
    assert abs(level) < 1.0, "the page plays its parts as loud as the WAV"
    onsets = np.sort([note.onset_s for note in performance.part(part).notes])
    alone = onsets[np.diff(onsets, prepend=-1.0) > 0.06]
    alone = alone[alone < seconds - 0.2]
    assert alone.size >= 20
    lags = lags_s(page, wav, alone, rate_hz)
    assert np.abs(lags).max() < 0.002, (lags * 1000).round(2).tolist()
    if part == "bass":
        return  # its notes grow out of each other too softly for an onset detector
    begins, rises = onset_times(wav, alone, rate_hz)
    clear = rises > 10
    assert clear.sum() >= 20
    apart = (onset_times(page, alone, rate_hz)[0] - begins)[clear]
    assert np.abs(apart).max() < 0.002, (apart * 1000).round(2).tolist()


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        pytest.param(DESKTOP, "light", id="desktop-light"),
        pytest.param(PHONE, "dark", id="phone-dark"),
        pytest.param(DESKTOP, "dark", id="desktop-dark", marks=pytest.mark.slow),
        pytest.param(PHONE, "light", id="phone-light", marks=pytest.mark.slow),
    ],
)
def test_axe_finds_nothing(size, scheme, browser, page_file, root, need_file) -> None:
    """axe-core 4.14 (Deque, MPL-2.0), all its rules, at rest, set up and playing a loop."""
    axe = need_file(root / ".cache/axe-core/axe.min.js", "npm pack axe-core into .cache")
    with Opened(browser, page_file, color_scheme=scheme, **size) as opened:
        page = opened.page
        page.evaluate(axe.read_text("utf-8"))

        assert violations(page) == []
        if page.is_visible("#open-setup"):
            page.click("#open-setup")
        page.click("#strings [data-value='0']")
        page.click("[data-part='drums']")
        assert violations(page) == []
        if page.is_visible("#open-setup"):
            page.click("#open-setup")
        page.click("#loop")
        page.click("[data-place='0']")
        page.click("[data-place='1']")
        opened.play()
        page.wait_for_timeout(800)
        assert violations(page) == []


def test_reduced_motion_moves_nothing(browser, page_file) -> None:
    with Timed(browser, page_file, reduced_motion="reduce", **PHONE) as timed:
        timed.play()
        timed.run(4.5)
        assert timed.places(), "the count-in is over"
        assert timed.page.evaluate("getComputedStyle(document.querySelector('#pick')).display") == (
            "none"
        )
        moving = timed.page.evaluate(
            "document.getAnimations().filter((a) => a.playState === 'running').length"
        )
        assert moving == 0


def test_a_nasty_title_runs_nothing(browser, tmp_path) -> None:
    """Markup in texts is shown as typed; no dialog opens and the policy has nothing to stop."""
    nasty = "</script><script>alert(1)</script><img src=x onerror=alert(2)>"
    chart, lanes = chart_and_lanes(WALTZ)
    file = tmp_path / "nasty.html"
    file.write_text(practice_page(replace(chart, title=nasty, by=nasty), lanes), "utf-8")
    with Opened(browser, file, **PHONE) as opened:
        opened.page.on("dialog", lambda dialog: opened.said.append(dialog.message))
        opened.play()
        assert opened.page.inner_text("h1") == nasty
        assert opened.page.title() == nasty


def test_it_prints_the_changes_and_the_grips(browser, page_file, tmp_path, need_program) -> None:
    """As pdftotext (poppler) reads it: both lanes and every grip, none of the controls."""
    program = need_program("pdftotext")
    with Opened(browser, page_file, **DESKTOP) as opened:
        opened.page.pdf(path=tmp_path / "page.pdf", format="A4")
    done = subprocess.run(
        [program, "-layout", str(tmp_path / "page.pdf"), "-"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.count("\f") <= 3
    for word in ("Lantern Street Stroll", "Gm7", "B♭m", "Every grip", "Dm7"):
        assert word in done.stdout, word
    for word in ("Tempo", "Levels", "Set up", "Count-in"):
        assert word not in done.stdout, word


@pytest.mark.parametrize("opened", [DESKTOP, PHONE], ids=["desktop", "phone"], indirect=True)
def test_nothing_is_cut_off_at_either_size(opened) -> None:
    """The page never scrolls sideways and every chord stays on its plank."""
    page = opened.page
    assert page.evaluate(
        "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    )
    spilled = page.evaluate(
        """() => [...document.querySelectorAll('.plank')].filter((plank) => {
          const edge = plank.getBoundingClientRect().right + 1;
          return [...plank.querySelectorAll('.root, .quality, .bass')]
            .some((part) => part.getBoundingClientRect().right > edge);
        }).map((plank) => plank.textContent)"""
    )
    assert spilled == []
