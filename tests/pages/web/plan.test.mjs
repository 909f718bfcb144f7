import assert from "node:assert/strict";
import test from "node:test";

import {
  barsFrom, chorusVersions, fadeLevel, goingOn, joined, phrases, slices, spans,
} from "../../../engine/porchswing/pages/practice/web/band/plan.mjs";

/** Intro of 2 bars, form of 6 (A 4, B 2) twice, ending of 2; four beats a bar. */
function someBars() {
  const rows = [];
  let start = 0;
  const add = (place, section, bar, role, chorus) => {
    rows.push({ place, section, bar, role, chorus, start, beats: 4 });
    start += 4;
  };
  for (let bar = 1; bar <= 2; bar += 1) add(bar - 1, "Intro", bar, "intro", 0);
  for (let chorus = 1; chorus <= 2; chorus += 1) {
    for (let bar = 1; bar <= 4; bar += 1) add(bar + 1, "A", bar, "form", chorus);
    for (let bar = 1; bar <= 2; bar += 1) add(bar + 5, "B", bar, "form", chorus);
  }
  for (let bar = 1; bar <= 2; bar += 1) add(bar + 7, "Tag", bar, "ending", 2);
  return rows;
}

const plainChoice = { mode: "along", choruses: 2, countIn: "once", start: 0, from: null, to: null };

function take(generator, count) {
  const found = [];
  for (const item of generator) {
    found.push(item);
    if (found.length === count) break;
  }
  return found;
}

const ends = (span) => [span.start, span.end];

test("the whole tune is the performance from the count-in to the end", () => {
  const found = [...spans(someBars(), plainChoice, 8)];
  assert.deepEqual(found.map(ends), [[-8, 0], [0, 8], [8, 32], [32, 56], [56, 64]]);
  assert.deepEqual(found.map((span) => span.count), [true, false, false, false, false]);
});

test("more choruses repeat the first, fewer leave it out, and the last one closes", () => {
  const many = [...spans(someBars(), { ...plainChoice, choruses: 4, countIn: "none" }, 8)];
  assert.deepEqual(many.map(ends), [[0, 8], [8, 32], [8, 32], [8, 32], [32, 56], [56, 64]]);
  const one = [...spans(someBars(), { ...plainChoice, choruses: 1, countIn: "none" }, 8)];
  assert.deepEqual(one.map(ends), [[0, 8], [32, 56], [56, 64]]);
});

test("a loop goes round without end and counts in once or every round", () => {
  const loop = { ...plainChoice, from: 3, to: 4 };
  assert.deepEqual(take(spans(someBars(), loop, 8), 4).map(ends), [[4, 12], [12, 20], [12, 20], [12, 20]]);
  const every = take(spans(someBars(), { ...loop, countIn: "every" }, 8), 4);
  assert.deepEqual(every.map((span) => span.count), [true, false, true, false]);
});

test("a loop may cross from the form into the ending", () => {
  const loop = { ...plainChoice, from: 7, to: 8, countIn: "none" };
  assert.deepEqual(take(spans(someBars(), loop, 8), 3).map(ends), [[28, 32], [56, 60], [28, 32]]);
});

test("starting in the middle drops what is before, in the first chorus alone", () => {
  const found = [...spans(someBars(), { ...plainChoice, start: 5 }, 8)];
  assert.deepEqual(found.map(ends), [[12, 20], [20, 32], [32, 56], [56, 64]]);
  const late = [...spans(someBars(), { ...plainChoice, start: 9, countIn: "none" }, 8)];
  assert.deepEqual(late.map(ends), [[60, 64]]);
});

test("listen, then answer plays each phrase twice, the second time without the chords", () => {
  const answer = { ...plainChoice, mode: "answer", choruses: 1, countIn: "none" };
  const found = [...spans(someBars(), answer, 8)];
  assert.deepEqual(found.map(ends), [[32, 48], [32, 48], [48, 56], [48, 56]]);
  assert.deepEqual(found.map((span) => span.chords), [1, 0, 1, 0]);
  assert.deepEqual(found.map((span) => span.turn), ["listen", "answer", "listen", "answer"]);
});

test("an answer that is started in the middle keeps its phrases", () => {
  const answer = { ...plainChoice, mode: "answer", countIn: "none", start: 4 };
  const found = [...spans(someBars(), answer, 8)];
  assert.deepEqual(found.slice(0, 6).map(ends), [[16, 24], [16, 24], [24, 32], [24, 32], [32, 48], [32, 48]]);
});

test("fading goes from full to silent and never up again", () => {
  for (const rounds of [2, 3, 5, 9]) {
    const levels = Array.from({ length: rounds + 3 }, (_, index) => fadeLevel(index + 1, rounds));
    assert.equal(levels[0], 1);
    assert.equal(levels[rounds - 1], 0);
    levels.slice(1).forEach((level, index) => assert.ok(level <= levels[index]));
  }
  assert.equal(fadeLevel(1, 1), 1);
  const fade = [...spans(someBars(), { ...plainChoice, mode: "fade", choruses: 3 }, 0)];
  assert.deepEqual(fade.map((span) => span.chords), [1, 1, 0.25, 0, 0]);
});

test("going on after a change neither counts in nor starts over", () => {
  const bars = someBars();
  const found = [...spans(bars, { ...plainChoice, choruses: 3 }, 8, { place: 4, round: 2 })];
  assert.deepEqual(found.map(ends), [[16, 32], [32, 56], [56, 64]]);
  const loop = { ...plainChoice, from: 3, to: 5 };
  const inside = take(spans(bars, loop, 8, { place: 5, round: 1 }), 2);
  assert.deepEqual(inside.map(ends), [[20, 24], [12, 24]]);
  const outside = take(spans(bars, loop, 8, { place: 7, round: 1 }), 1);
  assert.deepEqual(outside.map(ends), [[12, 24]]);
  assert.deepEqual([...spans(bars, plainChoice, 8, { place: 10, round: 2 })], []);
});

test("slices are whole beats, cut where a bar of seven eighths ends between two", () => {
  const cut = [...slices([{ start: 0, end: 3.5 }, { start: 3.5, end: 5 }])];
  assert.deepEqual(cut.map(ends), [[0, 1], [1, 2], [2, 3], [3, 3.5], [3.5, 4], [4, 5]]);
});

test("bars that follow each other join, and phrases stay in their section", () => {
  assert.deepEqual(joined([{ start: 0, beats: 3 }, { start: 3, beats: 3 }, { start: 9, beats: 3 }]), [[0, 6], [9, 12]]);
  const form = someBars().filter((bar) => bar.role === "form" && bar.chorus === 1);
  assert.deepEqual(phrases(form).map((phrase) => phrase.length), [4, 2]);
  assert.equal(chorusVersions(someBars()), 2);
});

/** A A, then A A-last, ending of 1; the last time has 3 bars where A has 2; four beats a bar. */
function barsWithLastTime() {
  const rows = [];
  const add = (place, section, bar, role, chorus) => (
    rows.push({ place, section, bar, role, chorus, start: rows.length * 4, beats: 4 }));
  for (let place = 0; place < 4; place += 1) add(place, "A", 1 + (place % 2), "form", 1);
  for (let place = 0; place < 2; place += 1) add(place, "A", 1 + place, "form", 2);
  for (let bar = 1; bar <= 3; bar += 1) add(3 + bar, "A-last", bar, "form", 2);
  add(7, "Tag", 1, "ending", 2);
  return rows;
}

/** Places of the bars in the order they are played. */
function played(choice, resume = null) {
  const bars = barsWithLastTime();
  const found = [];
  for (const span of spans(bars, { ...plainChoice, countIn: "none", ...choice }, 0, resume)) {
    for (const bar of bars) if (bar.start >= span.start && bar.start < span.end) found.push(bar.place);
    if (found.length > 20) break;
  }
  return found;
}

test("a last time closes the last chorus, whatever the number of choruses", () => {
  assert.deepEqual(played({ choruses: 1 }), [0, 1, 4, 5, 6, 7]);
  assert.deepEqual(played({ choruses: 3 }), [0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 4, 5, 6, 7]);
});

test("what is touched is what is played, in the last chorus as well", () => {
  assert.deepEqual(played({ choruses: 1, start: 3 }), [3, 7], "the other chorus has bar 4");
  assert.deepEqual(played({ choruses: 3, start: 5 }), [5, 6, 7], "the last time ends the tune");
  assert.deepEqual(played({ choruses: 2 }, { place: 2, round: 2 }), [2, 3, 7]);
  assert.deepEqual(played({ choruses: 2 }, { place: 4, round: 1 }), [4, 5, 6, 7]);
  assert.deepEqual(played({ choruses: 2, start: 7 }), [7]);
});

test("a loop plays the bars of a last time where it holds them", () => {
  assert.deepEqual(played({ from: 3, to: 4 }).slice(0, 4), [3, 4, 3, 4]);
});

test("going on keeps to the chorus that is due when the number of choruses changes", () => {
  const bars = barsWithLastTime();
  const on = (index, choruses, round) => goingOn(bars, { choruses }, bars[index], round);
  assert.deepEqual(on(1, 2, 1), { place: 2, round: 1 });
  assert.deepEqual(on(1, 1, 1), { place: 4, round: 1 }, "the first chorus has become the last");
  assert.deepEqual(on(5, 3, 2), { place: 2, round: 2 }, "the last chorus is no longer the last");
  assert.deepEqual(on(8, 3, 2), { place: 0, round: 3 });
  assert.deepEqual(on(8, 2, 2), { place: 7, round: 2 });
  assert.deepEqual(on(9, 2, 2), { place: 8, round: 2 }, "nothing comes after the ending");
  const none = bars.filter((bar) => bar.role === "form");
  assert.deepEqual(goingOn(none, { choruses: 2 }, none[8], 2), { place: Infinity, round: 2 });
});

test("the bars to come from the start are those that will be played", () => {
  const told = (choice) => barsFrom(barsWithLastTime(), { ...plainChoice, ...choice }, 4)
    .map(({ bar, beats }) => [bar.place, beats]);
  assert.deepEqual(told({ choruses: 1, start: 1 }), [[1, 0], [4, 4], [5, 8], [6, 12]]);
  assert.deepEqual(told({ from: 2, to: 3, start: 3 }), [[3, 0], [2, 4], [3, 8], [2, 12]]);
});
