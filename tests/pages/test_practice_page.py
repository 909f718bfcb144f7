"""The practice page's builder: what it carries, that texts stay texts, and what it refuses."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import soundfile

from porchswing.audio.mix.note_sounds import rendered_notes
from porchswing.audio.mix.strikes import schedule_of, velocity_gain
from porchswing.errors import OptionError
from porchswing.file_formats import NO_TAGS
from porchswing.grips.drawings.tablature import FRET_SIZE
from porchswing.lesson.lesson_job import make_practice_page
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.pages.practice.board_html import line_beads
from porchswing.pages.practice.page_data import tune_data
from porchswing.pages.practice.page_lane import PageLane, check_lanes, places, shown_bars
from porchswing.pages.practice.page_sound import (
    LONGEST_S,
    MARK_S,
    RATE_HZ,
    SoundStrip,
    slow_and_plain,
    sound_strip,
    trimmed,
)
from porchswing.pages.practice.practice_page import (
    bundle,
    fill,
    json_text,
    practice_page,
    web_files,
)
from porchswing.take import choose_solo
from support.made import TUNE
from support.practice_lanes import WALTZ, chart_and_lanes, silent_pages, silent_strip

NASTY = "</script><script>alert(1)</script> <img src=x onerror=alert(2)> {{audio}} \" ' & \u2028"


class Elements(HTMLParser):
    """Every element of a page with its attributes, and the text inside each kind."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, str] = {}
        self._open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self._open:
            self.texts[self._open[-1]] = self.texts.get(self._open[-1], "") + data


@pytest.fixture(scope="module")
def waltz() -> tuple[object, tuple[PageLane, ...]]:
    return chart_and_lanes(WALTZ)


@pytest.fixture(scope="module")
def waltz_page(waltz) -> str:
    return practice_page(*waltz)


@pytest.fixture(scope="module")
def waltz_strip(waltz) -> SoundStrip:
    return sound_strip(waltz[1])


@pytest.fixture
def silent() -> Iterator[None]:
    with silent_pages():
        yield


def tune_of(page: str) -> dict[str, object]:
    found = re.search(r'<script type="application/json" id="tune">(.*?)</script>', page, re.DOTALL)
    assert found is not None
    tune = json.loads(found.group(1))
    assert isinstance(tune, dict)
    return tune


def test_a_32_bar_tune_with_both_lanes_is_under_three_megabytes(page_file: Path) -> None:
    assert 300_000 < page_file.stat().st_size < 3_000_000


def test_the_same_lanes_make_the_same_page(waltz, waltz_page) -> None:
    assert practice_page(*waltz) == waltz_page


@pytest.mark.usefixtures("silent")
def test_a_nasty_title_stays_text() -> None:
    chart, lanes = chart_and_lanes(WALTZ)
    nasty = practice_page(replace(chart, title=NASTY, by=NASTY), lanes)
    plain = practice_page(chart, lanes)
    elements, usual = Elements(nasty), Elements(plain)
    assert [tag for tag, _ in elements.found] == [tag for tag, _ in usual.found]
    assert not [name for _, attrs in elements.found for name in attrs if name.startswith("on")]
    assert elements.texts["title"] == NASTY
    assert elements.texts["h1"].strip() == NASTY.strip()
    assert tune_of(nasty)["title"] == NASTY
    assert "\u2028" not in re.findall(r"<script.*?</script>", nasty, re.DOTALL)[0]


@pytest.mark.usefixtures("silent")
def test_nasty_section_names_stay_text() -> None:
    chart, lanes = chart_and_lanes(WALTZ)
    nasty = tuple(
        replace(
            lane,
            roadmap=replace(
                lane.roadmap, bars=tuple(replace(bar, section=NASTY) for bar in lane.roadmap.bars)
            ),
            voicing=replace(
                lane.voicing, slots=tuple(replace(s, section=NASTY) for s in lane.voicing.slots)
            ),
        )
        for lane in lanes
    )
    page = practice_page(chart, nasty)
    assert tune_of(page)["bars"][0]["section"] == NASTY
    assert "<img" not in page
    assert page.count("<script") == 4


def test_nothing_in_the_page_reaches_outside(waltz_page) -> None:
    page = waltz_page
    for _, attrs in Elements(page).found:
        for name in ("action", "formaction", "data", "srcset", "style"):
            assert name not in attrs
        assert (attrs.get("href") or "#").startswith("#grip-" if "href" in attrs else "#")
        assert (attrs.get("src") or "data:audio/mpeg").startswith("data:audio/mpeg")
    assert "@import" not in page
    assert "url(" not in page
    policy = next(a["content"] for t, a in Elements(page).found if a.get("http-equiv"))
    assert policy is not None
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy


def test_fields_are_filled_once_and_json_cannot_end_its_script() -> None:
    assert fill("{{a}}{{b}}", {"a": "{{b}}", "b": "x"}) == "{{b}}x"
    text = json_text(["</script>", "<!--", "&amp;", "\u2028"])
    assert not set(text) & set("<>&\u2028")
    assert json.loads(text) == ["</script>", "<!--", "&amp;", "\u2028"]


def test_modules_are_joined_by_their_imports_and_rules_are_kept() -> None:
    one = bundle(web_files())
    assert not re.search(r"^\s*(import|export)\b", one, re.MULTILINE)
    with pytest.raises(ValueError, match=r"both declare twice"):
        bundle(
            {
                "a.mjs": 'import { b } from "./b.mjs";\nconst twice = b;\n',
                "b.mjs": "const twice = 1;\nexport const b = 2;\n",
            },
            "a.mjs",
        )
    with pytest.raises(ValueError, match=r"breaks the rules for modules: export default"):
        bundle({"a.mjs": "export default 1;\n"}, "a.mjs")
    with pytest.raises(ValueError, match=r"ring"):
        bundle(
            {
                "a.mjs": 'import { b } from "./b.mjs";\n',
                "b.mjs": 'import { a } from "./a.mjs";\n',
            },
            "a.mjs",
        )
    with pytest.raises(ValueError, match=r"imports c.mjs, which is not there"):
        bundle({"a.mjs": 'import { c } from "./c.mjs";\n'}, "a.mjs")


def test_every_module_is_small_enough_to_read() -> None:
    for name, text in web_files().items():
        assert len(text.splitlines()) <= (400 if name.endswith(".css") else 250), name


def test_lanes_that_do_not_fit_together_are_refused(waltz) -> None:
    _, (swing, plain) = waltz
    with pytest.raises(OptionError, match="at least one lane"):
        check_lanes(())
    with pytest.raises(OptionError, match="different names"):
        check_lanes((swing, swing))
    short = replace(plain.roadmap, bars=plain.roadmap.bars[:-1])
    with pytest.raises(OptionError, match="same bars"):
        check_lanes((swing, replace(plain, roadmap=short)))
    with pytest.raises(OptionError, match="same count-in"):
        check_lanes((swing, replace(plain, score=replace(plain.score, count_in_beats=Fraction(1)))))
    _, (fast,) = chart_and_lanes(WALTZ.replace("96", "120"), names=("plain",))
    with pytest.raises(OptionError, match="same tempo"):
        check_lanes((swing, fast))


def test_later_choruses_have_the_places_of_the_first() -> None:
    _, (lane,) = chart_and_lanes(TUNE, names=("swing",))
    bars = lane.roadmap.bars
    numbers = places(bars)
    assert len(set(numbers)) == 36
    assert numbers[:32] == tuple(range(32))
    assert numbers[32:64] == tuple(range(32))
    assert numbers[64:] == (32, 33, 34, 35)
    assert [bar.section for bar in shown_bars(bars, numbers)][-4:] == ["Tag"] * 4


def test_notes_are_in_written_order_and_every_sound_exists(waltz, waltz_strip) -> None:
    chart, lanes = waltz
    strip = waltz_strip
    tune = tune_data(chart, lanes, strip)
    assert [lane["name"] for lane in tune["lanes"]] == ["swing", "plain"]
    for lane, made in zip(tune["lanes"], lanes, strict=True):
        for part in lane["parts"]:
            rows = part["notes"]
            assert len(rows) == len(made.performance.part(part["name"]).notes)
            assert all(a[0] <= b[0] for a, b in pairwise(rows))
            assert all(0 <= row[4] < len(strip.cuts) - 2 for row in rows)
            assert all(tune["mix"]["seats"][row[6]][0] == part["name"] for row in rows)
        assert len(lane["slots"]) == 8, "four bars, and four the last time"
        for slots in lane["slots"]:
            assert all(slot["grip"] is not None for slot in slots)


def test_notes_are_spelled_as_their_chord_spells_them() -> None:
    chart, lanes = chart_and_lanes("title: T\nkey: Eb\n[A]\n| Ab7 | Eb |\n", names=("plain",))
    bars = lanes[0].roadmap.bars
    names = {
        bead.note for index in range(4) for bead in line_beads(lanes[0], bars, chart.key, index)[0]
    }
    assert names
    assert names <= {"A♭", "C", "E♭", "G♭"}


def test_the_line_a_chart_asks_for_is_the_one_shown() -> None:
    for asked, shown in (("", None), ("line: 4 down\n", 0), ("line: 1\n", 3)):
        text = f"title: T\nkey: C\n{asked}[A]\n| C | G7 |\n"
        chart, lanes = chart_and_lanes(text, names=("swing",))
        assert tune_data(chart, lanes, silent_strip(lanes))["line"] == shown
        inside = f"title: T\nkey: C\n[A]\n{asked}| C | G7 |\n"
        chart, lanes = chart_and_lanes(inside, names=("swing",))
        assert tune_data(chart, lanes, silent_strip(lanes))["line"] == shown


def test_the_strip_decodes_to_the_synths_own_notes(waltz, waltz_strip) -> None:
    """Decoded by libsndfile, the notes are our notes, each at its place to the sample."""
    _, lanes = waltz
    strip = waltz_strip
    samples, rate = soundfile.read(io.BytesIO(strip.audio), dtype="float32")
    assert rate == RATE_HZ
    mark = int(np.argmax(samples[: round(2 * MARK_S * rate)]))
    assert abs(mark - MARK_S * rate) <= 1
    schedule = schedule_of(slow_and_plain(lanes[0].performance), takes=1)
    sounds = rendered_notes(schedule, RATE_HZ)
    plucked = {key for key in schedule.keys if key.voice != "kit"}
    assert {key.layer for key in plucked} == {1, 2}, "the strip's two layers are the synth's"
    checked = 0
    parts = lanes[0].performance.parts
    for part in parts:
        uses = strip.struck["swing", part.name]
        strikes = schedule.strikes[part.name]
        for note, use, strike in zip(part.notes, uses, strikes, strict=True):
            key = schedule.keys[strike.sound]
            if key not in plucked or checked > 60:
                continue
            own = trimmed(sounds[strike.sound])[: round(0.3 * rate)]
            at = round(strip.cuts[use.sound][0] * rate) + mark - round(MARK_S * rate)
            heard = samples[at : at + own.size] * use.gain
            own = own * velocity_gain(note.velocity)
            error = np.sqrt(np.mean((heard - own) ** 2) / np.mean(own**2))
            assert error < 0.1, f"{key}: {20 * np.log10(error):.1f} dB"
            checked += 1
    assert checked > 5


def test_sounds_last_at_the_slowest_tempo(waltz, waltz_strip) -> None:
    """At 40 % every damped note has its whole length, or dies away, or reaches the limit."""
    _, lanes = waltz
    strip = waltz_strip
    samples, rate = soundfile.read(io.BytesIO(strip.audio), dtype="float32")
    checked = 0
    for lane in lanes:
        for part in lane.performance.parts:
            for note, use in zip(part.notes, strip.struck[lane.name, part.name], strict=True):
                start, length, _ = strip.cuts[use.sound]
                needed = (note.end_s - note.onset_s) / 0.4
                checked += use.lasts_s is None
                if use.lasts_s is not None or length >= min(needed, LONGEST_S) - 0.001:
                    continue
                sound = samples[round(start * rate) : round((start + length) * rate)]
                end = sound[-round(0.06 * rate) : -round(0.03 * rate)]
                assert np.abs(end).max() < 0.01 * np.abs(sound).max()
    assert checked > 100


def test_a_sound_is_cut_where_it_has_died_away() -> None:
    time = np.arange(RATE_HZ * 4) / RATE_HZ
    dying = (np.sin(2 * np.pi * 440 * time) * 10.0 ** (-time * 60 / 20)).astype(np.float32)
    cut = trimmed(dying)
    assert 0.9 * RATE_HZ < cut.size < 0.95 * RATE_HZ
    assert abs(cut[-1]) < 1e-6
    assert np.array_equal(cut[: RATE_HZ // 2], dying[: RATE_HZ // 2])


def test_the_gallery_shows_every_grip_once(waltz, waltz_page) -> None:
    _, lanes = waltz
    page = waltz_page
    shown = [a["data-grip"] for _, a in Elements(page).found if "data-grip" in a]
    grips = {(s.grip, s.grip.fingers) for lane in lanes for s in lane.voicing.slots}
    assert shown == [str(number) for number in range(len(grips))]
    gallery = page[page.index('id="gallery"') :].partition("</ol>")[0]
    assert "Am7" in re.sub("<[^>]+>", "", gallery)


def test_audio_in_the_page_is_the_strip(waltz_page, waltz_strip) -> None:
    found = re.search(r'<script type="text/plain" id="audio">(.*?)</script>', waltz_page)
    assert found is not None
    assert base64.b64decode(found.group(1)) == waltz_strip.audio


PAIRS = """title: Pairs
key: C
[A]
plain | C | C | C | C |
swing | Em7 A7 | Dm7 G7 | Gm7 C7 | Fm7 Bb7 |
"""


@pytest.mark.usefixtures("silent")
def test_a_progression_that_returns_with_its_shapes_is_pointed_out(waltz) -> None:
    page = practice_page(*chart_and_lanes(PAIRS))
    assert Elements(page).texts["li"].count("same shapes, 2 frets down") == 2
    assert "Em7 A7 (bar 1), then Dm7 G7 (bar 2): same shapes, 2 frets down" in page
    assert 'class="again"' not in practice_page(*waltz)


@pytest.mark.usefixtures("silent")
def test_a_chord_melody_is_drawn_as_tablature_where_it_is_asked_for(tmp_path) -> None:
    text = "title: Sung\nkey: C\n[A]\nplain | C | G7 |\nmelody | E4:2 G4:2 | G4:3 r:1 |\n"
    for is_asked in (True, False):
        choices = Choices().with_values({"melody_on_top": is_asked})
        path = tmp_path / f"{is_asked}.html"
        make_practice_page(LessonSource(text, "t.changes", "t", choices), "", [path], NO_TAGS)
    page = (tmp_path / "True.html").read_text("utf-8")
    drawn = re.findall(r"<figure><figcaption>\[([\w, ]+)\]</figcaption>(<svg.*?</svg>)", page)
    assert [name for name, _ in drawn] == ["A", "A, the last time"]
    asked = Choices().with_values({"melody_on_top": True})
    arranged = choose_solo(LessonSource(text, "t.changes", "t", asked).lead, asked)
    frets = sum(fret is not None for slot in arranged.slots for fret in slot.grip.frets)
    assert sum(svg.count(f'font-size="{FRET_SIZE:g}"') for _, svg in drawn) == frets
    assert 'class="tablature"' not in (tmp_path / "False.html").read_text("utf-8")
