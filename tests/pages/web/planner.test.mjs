import assert from "node:assert/strict";
import test from "node:test";

import { makePlanner, notesBetween } from "../../../engine/porchswing/pages/practice/web/band/planner.mjs";

const curves = { from: 10, step: 10, rows: { ride: Array(40).fill(2) } };

/** Four bars of four at 120: chords on every beat and off-beat, a count of four. */
function someTune() {
  const bars = [0, 1, 2, 3].map((place) => ({
    place, section: "A", bar: place + 1, role: "form", chorus: 1, start: place * 4, beats: 4,
  }));
  const chords = [];
  for (let half = 0; half < 32; half += 1) chords.push([half / 2, 0, half / 2 + 0.5, 0, 0, 1, 0, 1]);
  const count = [-4, -3, -2, -1].map((beat) => [beat, 0, null, 0.1, 1, 1, 1, -1]);
  const parts = [{ name: "chords", even: [], notes: chords }, { name: "count", even: [], notes: count }];
  return {
    bars, countIn: 4, lanes: [{ name: "swing", parts }],
    clock: {
      segments: [[0, 500000, 2, 120, 120], [8, 1000000, 2, 60, 60]], unit: 1, feel: 0, curves,
      players: { drums: "ride", chords: "ride", count: "ride" },
    },
  };
}

const someChoice = () => ({
  speed: 1, ratio: null, lane: "swing", mode: "along", choruses: 1, countIn: "none", start: 0, from: null, to: null,
});

function all(planner, most = 1000) {
  const found = [];
  for (let step = planner.next(); step !== null && found.length < most; step = planner.next()) found.push(step);
  return found;
}

const times = (beats, part = "chords") => (
  beats.flatMap((beat) => beat.notes).filter((note) => note.part === part).map((note) => note.time));

test("beats stand where the tempo puts them, off-beats at two thirds", () => {
  const planner = makePlanner(someTune(), someChoice());
  planner.start(10);
  const found = times(all(planner));
  assert.equal(found.length, 32);
  assert.ok(Math.abs(found[0] - 10) < 1e-9);
  assert.ok(Math.abs(found[1] - (10 + 0.5 * (2 / 3))) < 1e-9);
  assert.ok(Math.abs(found[16] - 14) < 1e-9, "the second tempo starts at beat 8");
  assert.ok(Math.abs(found[18] - 15) < 1e-9);
});

test("a change of tempo or swing holds from the next beat, and no note is lost or doubled", () => {
  const choice = someChoice();
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  const before = [planner.next(), planner.next(), planner.next()];
  choice.speed = 0.5;
  choice.ratio = 1;
  const found = times([...before, ...all(planner)]);
  assert.equal(found.length, 32);
  found.slice(1).forEach((time, index) => assert.ok(time > found[index]));
  assert.ok(Math.abs(found[6] - 1.5) < 1e-9, "the fourth beat is where the old tempo put it");
  assert.ok(Math.abs(found[7] - 2.0) < 1e-9, "its off-beat is straight, at half the speed");
  assert.ok(Math.abs(found[8] - 2.5) < 1e-9);
});

test("the slowest and the fastest scale every beat alike", () => {
  for (const speed of [0.4, 0.77, 1.5]) {
    const planner = makePlanner(someTune(), { ...someChoice(), speed, ratio: 2 });
    planner.start(0);
    const found = times(all(planner));
    const plain = makePlanner(someTune(), { ...someChoice(), ratio: 2 });
    plain.start(0);
    times(all(plain)).forEach((time, index) => assert.ok(Math.abs(found[index] - time / speed) < 1e-9));
  }
});

test("the count-in is counted at the tempo it leads to", () => {
  const choice = { ...someChoice(), countIn: "once", from: 2, to: 3 };
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  const beats = all(planner, 6);
  assert.deepEqual(times(beats, "count"), [0, 1, 2, 3]);
  assert.ok(Math.abs(times(beats)[0] - 4) < 1e-9);
  assert.equal(beats[4].bar.place, 2);
});

test("the answer has no chords, and a new mode waits for the bar to end", () => {
  const choice = { ...someChoice(), mode: "answer" };
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  const beats = all(planner);
  assert.equal(beats.length, 32);
  assert.equal(times(beats.slice(0, 16)).length, 32);
  assert.equal(times(beats.slice(16)).length, 0);
  choice.mode = "along";
  planner.start(0);
  planner.next();
  choice.from = 0;
  choice.to = 0;
  planner.replan();
  const looped = all(planner, 7).map((beat) => beat.from);
  assert.deepEqual(looped, [1, 2, 3, 0, 1, 2, 3]);
});

test("changing the number of choruses at the end of the form still reaches them", () => {
  const choice = someChoice();
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  for (let beat = 0; beat < 13; beat += 1) planner.next();
  choice.choruses = 2;
  planner.replan();
  assert.deepEqual(all(planner).map((beat) => beat.from).slice(0, 5), [13, 14, 15, 0, 1]);
});

test("sleeping past a beat moves the plan on instead of playing late notes", () => {
  const planner = makePlanner(someTune(), someChoice());
  planner.start(0);
  planner.next();
  planner.catchUp(30);
  assert.equal(planner.next().time, 30);
});

test("notes are found by their written beat", () => {
  const notes = [0, 0.5, 1, 1, 2].map((beat) => ({ beat }));
  assert.deepEqual(notesBetween(notes, 0.5, 2).map((note) => note.beat), [0.5, 1, 1]);
  assert.deepEqual(notesBetween(notes, 3, 4), []);
});

test("the bars to come are known: the next, the loop's first, the same once more, none", () => {
  const first = (beat) => beat.ahead.slice(0, 2).map(({ bar, beats }) => [bar.place, beats]);
  const choice = { ...someChoice(), from: 1, to: 2 };
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  assert.deepEqual(all(planner, 6).map(first), [
    [[2, 4], [1, 8]], [[2, 3], [1, 7]], [[2, 2], [1, 6]], [[2, 1], [1, 5]], [[1, 4], [2, 8]], [[1, 3], [2, 7]],
  ]);
  choice.from = 3;
  choice.to = 3;
  planner.start(0);
  assert.deepEqual(first(planner.next()), [[3, 4], [3, 8]]);
  choice.from = null;
  choice.to = null;
  planner.start(0);
  assert.deepEqual(all(planner).slice(11).map(first), [[[3, 1]], [], [], [], []]);
});

test("a jump finishes its bar, goes to the place and on from there, and never counts in", () => {
  const choice = { ...someChoice(), countIn: "every" };
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  for (let beat = 0; beat < 4 + 2; beat += 1) planner.next(); // the count-in and half a bar
  choice.start = 2;
  planner.jump(2);
  assert.deepEqual(all(planner, 5).map((beat) => beat.from), [2, 3, 8, 9, 10]);
});

test("a jump back to before what was planned takes the plan back with it", () => {
  const choice = someChoice();
  const planner = makePlanner(someTune(), choice);
  planner.start(0);
  const planned = all(planner, 6); // one bar and a half
  planner.rewind(planned[3], planned[4].time);
  planner.jump(3);
  const next = planner.next();
  assert.equal(next.from, 12);
  assert.equal(next.time, planned[4].time);
});
