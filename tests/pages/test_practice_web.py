"""The page's modules by themselves: their own tests under node, and their clock against ours."""

from __future__ import annotations

import json
import subprocess
from fractions import Fraction
from random import Random

import pytest

from porchswing.band.compose import compose_score
from porchswing.chart.model import SwingSetting
from porchswing.options import BandStyle
from porchswing.pages.practice.page_data import clock_data, tune_data
from porchswing.pages.practice.page_lane import PageLane
from porchswing.performance.perform import perform
from porchswing.rhythm.swing import auto_ratio
from porchswing.rhythm.tempo import TempoMap, TempoSegment
from support.practice_lanes import silent_strip
from support.strategies import random_arrangement

ASK_CLOCK = """
import { makeClock } from "%s";
let text = "";
for await (const chunk of process.stdin) text += chunk;
const { clock, asks } = JSON.parse(text);
const made = makeClock(clock);
const told = asks.map(([beats, part, even, speed, ratio]) => {
  const performed = made.warp(beats, part, new Set(even), { speed, ratio });
  return [performed, made.seconds(performed)];
});
console.log(JSON.stringify(told));
"""


def test_the_modules_own_tests_pass(need_program, root) -> None:
    node = need_program("node")
    done = subprocess.run(
        [node, "--test", str(root / "tests" / "pages" / "web")],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    assert "# fail 0" in done.stdout


def some_map(random: Random) -> TempoMap:
    starts = sorted(random.sample(range(1, 60), random.randint(0, 4)))
    segments = []
    for start in (0, *starts):
        bpm = random.uniform(40, 300)
        ratio = random.choice([None, 1.0, 2.0, random.uniform(1, 3.5)])
        segments.append(TempoSegment(Fraction(start), bpm, ratio))
    unit = random.choice([Fraction(1), Fraction(1), Fraction(1, 2)])
    return TempoMap(tuple(segments), swing_unit_beats=unit, feel=random.choice([0.0, 0.4, 1.0]))


@pytest.mark.parametrize("seed", range(8))
def test_the_pages_clock_is_the_librarys(seed: int, need_program, root) -> None:
    """Warped beats and seconds agree to a nanosecond with TempoMap, as written and at a ratio."""
    random = Random(f"clock/{seed}")
    tempo_map = some_map(random)
    asks, expected = [], []
    for _ in range(300):
        beats = Fraction(random.randint(-8 * 24, 70 * 24), random.choice([24, 16, 2, 1, 3]))
        part = random.choice(["chords", "bass", "drums", "line", "count"])
        even = frozenset(random.sample(range(70), random.randint(0, 5)))
        ratio = random.choice([None, None, 1.0, 2.5])
        asks.append([float(beats), part, sorted(even), 1, ratio])
        if ratio is None or tempo_map.feel == 0:
            performed = tempo_map.warp(beats, ratio, part=part, even=even)
            expected.append((performed, tempo_map.seconds(performed)))
        else:
            expected.append(None)  # with feel, the library has no way to ask for a ratio by part
    module = root / "engine/porchswing/pages/practice/web/band/clock.mjs"
    done = subprocess.run(
        [need_program("node"), "--input-type=module", "-e", ASK_CLOCK % module.as_uri()],
        input=json.dumps({"clock": clock_data(tempo_map), "asks": asks}),
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    told = json.loads(done.stdout)
    compared = [(t, e) for t, e in zip(told, expected, strict=True) if e is not None]
    assert len(compared) > 100
    for (performed, seconds), (own_performed, own_seconds) in compared:
        assert performed == pytest.approx(own_performed, abs=1e-9)
        assert seconds == pytest.approx(own_seconds, abs=1e-9)


def test_swing_that_follows_the_tempo_goes_on_following(need_program, root) -> None:
    tempo_map = TempoMap((TempoSegment(Fraction(0), 180.0),))
    asks = [[0.5, "drums", [], speed, None] for speed in (0.5, 1.0, 1.5)]
    done = subprocess.run(
        [
            need_program("node"),
            "--input-type=module",
            "-e",
            ASK_CLOCK % (root / "engine/porchswing/pages/practice/web/band/clock.mjs").as_uri(),
        ],
        input=json.dumps({"clock": clock_data(tempo_map), "asks": asks}),
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    for (performed, _), speed in zip(json.loads(done.stdout), (0.5, 1.0, 1.5), strict=True):
        ratio = auto_ratio(180.0 * speed)
        assert performed == pytest.approx(ratio / (ratio + 1), abs=1e-12)


ASK_PLANNER = """
import { makePlanner } from "%s";
import { firstChoice } from "%s";
let text = "";
for await (const chunk of process.stdin) text += chunk;
const told = JSON.parse(text).map((tune) => {
  const planner = makePlanner(tune, firstChoice(tune));
  planner.start(0);
  const found = {};
  for (let step = planner.next(); step !== null; step = planner.next()) {
    for (const { part, time, end } of step.notes) (found[part] ??= []).push([time, end]);
  }
  return found;
});
console.log(JSON.stringify(told));
"""


def test_any_tune_is_planned_as_the_library_performs_it(need_program, root) -> None:
    """Charts, meters, patterns, tempi, swing and feel by chance: times within 0.1 ms."""
    performances, tunes = [], []
    for seed in range(40):
        chart, roadmap, voicing = random_arrangement(seed)
        random = Random(f"page/{seed}")
        style = BandStyle(
            feel=random.choice([0.0, 1.0]),
            ritardando=random.choice([0.0, 0.25]),
            swing=random.choice([None, SwingSetting(Fraction(5, 2)), SwingSetting(Fraction(1))]),
        )
        score = compose_score(chart, roadmap, voicing, style)
        performance = perform(score, random.choice([0.0, 0.3, 1.0]))
        lanes = (PageLane("plain", roadmap, voicing, score, performance),)
        performances.append(performance)
        tunes.append(tune_data(chart, lanes, silent_strip(lanes)))
    web = root / "engine/porchswing/pages/practice/web"
    done = subprocess.run(
        [
            need_program("node"),
            "--input-type=module",
            "-e",
            ASK_PLANNER
            % ((web / "band/planner.mjs").as_uri(), (web / "choice/choices.mjs").as_uri()),
        ],
        input=json.dumps(tunes),
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    notes = 0
    for performance, told in zip(performances, json.loads(done.stdout), strict=True):
        for part in performance.parts:
            own = sorted((note.onset_s, note.end_s) for note in part.notes)
            page = sorted(map(tuple, told.get(part.name, [])))
            assert len(page) == len(own), (performance.title, part.name)
            for (onset, end), (own_onset, own_end) in zip(page, own, strict=True):
                assert abs(onset - own_onset) < 1e-4
                assert abs(end - own_end) < 2e-4
            notes += len(own)
    assert notes > 5000
