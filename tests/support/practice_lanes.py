"""Lanes and pages for the practice page's tests, and the page's modules behind another door."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module

import pytest

from porchswing.audio.mix.desk import seat
from porchswing.band.compose import compose_score
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.unroll import unroll
from porchswing.grips.search.voice import voice
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.options import BandStyle
from porchswing.pages.practice.page_lane import PageLane
from porchswing.pages.practice.page_sound import PlainTrack, SoundStrip, StruckNote
from porchswing.pages.practice.practice_page import bundle, fill, json_text, web_files
from porchswing.performance.perform import perform

WALTZ = """\
title: Slow Boat Landing
key: C
meter: 3/4
tempo: 96
[A]
| C | Am7 | Dm7 | G7 |
"""

PROBE = """\
import { makePlanner } from "./band/planner.mjs";
import { firstChoice } from "./choice/choices.mjs";
import { makeDesk, soundNote } from "./band/player.mjs";
import { bytesOf, loadSounds } from "./band/sounds.mjs";

const tune = JSON.parse(document.getElementById("tune").textContent);
const audio = document.getElementById("audio").textContent;
window.probe = {
  times(changes) {
    const planner = makePlanner(tune, { ...firstChoice(tune), ...changes });
    planner.start(0);
    const found = {};
    for (let step = planner.next(); step !== null; step = planner.next()) {
      for (const { part, time, end } of step.notes) (found[part] ??= []).push([time, end]);
    }
    return found;
  },
  async samples(seconds, rate, changes, parts, channels = 1) {
    const context = new OfflineAudioContext(2, Math.round(seconds * rate), rate);
    const sounds = await loadSounds(context, tune.strip, bytesOf(audio));
    const heard = { ...tune, lanes: tune.lanes.map((lane) => (
      { ...lane, parts: lane.parts.filter((part) => !parts || parts.includes(part.name)) })) };
    const desk = makeDesk(context, heard.mix, sounds);
    const planner = makePlanner(heard, { ...firstChoice(tune), ...changes });
    const voices = { byString: new Map(), sounding: new Set() };
    planner.start(0);
    while (planner.time < seconds) {
      const planned = planner.next();
      if (planned === null) break;
      for (const note of planned.notes) soundNote(context, desk, sounds, heard.mix, note, voices);
    }
    const buffer = await context.startRendering();
    const left = buffer.getChannelData(0);
    const right = buffer.getChannelData(1);
    const mono = left.map((sample, index) => (sample + right[index]) / 2);
    const both = new Float32Array(2 * left.length);
    both.set(left);
    both.set(right, left.length);
    let text = "";
    const bytes = new Uint8Array((channels === 2 ? both : mono).buffer);
    for (let at = 0; at < bytes.length; at += 32768) {
      text += String.fromCharCode(...bytes.subarray(at, at + 32768));
    }
    return btoa(text);
  },
};
"""
"""A door into the page's own modules: planned times, and what they sound like offline."""


def chart_and_lanes(
    text: str,
    *,
    names: tuple[str, ...] = ("swing", "plain"),
    choruses: int = 2,
    style: BandStyle | None = None,
    humanize: float = 0.3,
) -> tuple[Chart, tuple[PageLane, ...]]:
    """Arrange and perform a chart's lanes as the lesson does."""
    lead = reharmonize(parse_chart(text))
    lanes = []
    for name in names:
        roadmap = unroll(lead.chart, lane=name, choruses=choruses)
        voicing = voice(lead, lane=name)
        score = compose_score(lead.chart, roadmap, voicing, style or BandStyle())
        lanes.append(PageLane(name, roadmap, voicing, score, perform(score, humanize)))
    return lead.chart, tuple(lanes)


def silent_strip(lanes: Sequence[PageLane]) -> SoundStrip:
    """Return a strip that has no sound at all, for tests of times alone: quick to make."""
    struck = {
        (lane.name, part.name): tuple(StruckNote(0, 0, 1.0, 0, None) for _ in part.notes)
        for lane in lanes
        for part in lane.performance.parts
    }
    return SoundStrip(b"", ((0.0, 1.0, 0.0),) * 3, (("chords", seat("chords")),), struck, 1.0, 1.0)


@contextmanager
def silent_pages(*, with_track: bool = False) -> Iterator[None]:
    """Let practice pages be made without their sounds, for tests of what they say: quick to make.

    A page keeps the track that plays without scripts where that is asked for.
    """
    module = import_module("porchswing.pages.practice.practice_page")
    track = PlainTrack(b"", 1.0, is_whole=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "sound_strip", silent_strip)
        if not with_track:
            patch.setattr(module, "plain_track", lambda performance: track)
        yield


def probe_page(tune: object, audio: str) -> str:
    """Return a page of the same modules that only opens :data:`PROBE`."""
    script = bundle({**web_files(), "probe.mjs": PROBE}, "probe.mjs")
    template = (
        '<!doctype html><meta charset="utf-8"><title>probe</title>'
        '<script type="application/json" id="tune">{{tune}}</script>'
        '<script type="text/plain" id="audio">{{audio}}</script>'
        '<script type="module">{{script}}</script>'
    )
    return fill(template, {"tune": json_text(tune), "audio": audio, "script": script})
