import assert from "node:assert/strict";
import test from "node:test";

import {
  going, held, looping, playingWords, ratioWords, RATIO, SPEED_PERCENT,
} from "../../../engine/porchswing/pages/practice/web/choice/choices.mjs";
import { recalled } from "../../../engine/porchswing/pages/practice/web/choice/memory.mjs";
import { readTask, tasked, taskWords } from "../../../engine/porchswing/pages/practice/web/choice/task.mjs";
import {
  moveWords, nextGrip, slotAt, stayingFingers, toGoWords,
} from "../../../engine/porchswing/pages/practice/web/band/next.mjs";
import { findMark } from "../../../engine/porchswing/pages/practice/web/band/sounds.mjs";
import { strokeSign, strokesBetween } from "../../../engine/porchswing/pages/practice/web/screen/stage.mjs";

const tune = {
  countIn: 4, bars: [0, 1, 2, 3, 4, 5, 6, 7].map((place) => ({ place, chorus: 1 })),
  lanes: [{ name: "swing" }, { name: "plain" }],
};

test("a loop lies between two bars, whichever was touched first", () => {
  const free = { start: 0, from: null, to: null };
  assert.deepEqual(looping(free, 6, 3), { start: 3, from: 3, to: 6 });
  assert.deepEqual(looping({ ...free, start: 5 }, 3, 6), { start: 5, from: 3, to: 6 });
  assert.deepEqual(looping(free, 2, 2), { start: 2, from: 2, to: 2 });
});

test("going to a bar keeps the loop that holds it and gives up any other", () => {
  const loop = { start: 3, from: 3, to: 6 };
  assert.deepEqual(going(loop, 5), { start: 5, from: 3, to: 6 });
  assert.deepEqual(going(loop, 7), { start: 7, from: null, to: null });
});

test("what will be played is said in words", () => {
  assert.equal(playingWords({ start: 0, from: null, to: null }), "The whole tune.");
  assert.equal(playingWords({ start: 4, from: null, to: null }), "Starts at bar 5.");
  assert.equal(playingWords({ start: 4, from: 4, to: 7 }), "Loop: bars 5 to 8.");
  assert.equal(playingWords({ start: 5, from: 4, to: 7 }), "Loop: bars 5 to 8. Starts at bar 6.");
  assert.equal(playingWords({ start: 4, from: 4, to: 4 }), "Loop: bar 5.");
});

test("only what this tune can do is remembered", () => {
  const fresh = { speed: 1, lane: "swing", mode: "along", chords: "heard", start: 0, from: null, to: null };
  const kept = { speed: 0.7, lane: "third", mode: "__proto__", chords: "mine", start: 99, from: 2, to: 3 };
  assert.deepEqual(recalled(fresh, kept, tune), { ...fresh, speed: 0.7, chords: "mine", from: 2, to: 3 });
  assert.deepEqual(recalled(fresh, { from: 2, to: 30 }, tune), fresh);
  assert.deepEqual(recalled(fresh, {}, tune), fresh);
});

test("a task is read from an address, and what cannot be done is left out", () => {
  const task = readTask("#bars=3-6&tempo=70&chords=mine", tune);
  assert.deepEqual(task, { first: 3, last: 6, percent: 70, chords: "mine" });
  assert.equal(taskWords(task), "bars 3 to 6 at 70 %, the chords are yours");
  const fresh = { speed: 1, chords: "heard", mode: "along", start: 0, from: null, to: null };
  assert.deepEqual(tasked(fresh, task), { ...fresh, speed: 0.7, chords: "mine", start: 2, from: 2, to: 5 });
  assert.equal(readTask("", tune), null);
  assert.equal(readTask("#bars=7-99&chords=toString&lane=third", tune), null);
  assert.deepEqual(readTask("#tempo=900", tune), { percent: 150 });
});

test("the next grip is a different one, with the beats until it", () => {
  const [a, same, rest, b] = [{ at: 0, grip: 0 }, { at: 2, grip: 2 }, { at: 0, grip: null }, { at: 2, grip: 1 }];
  const bars = [[a, same], [rest, b]];
  const frets = (grip) => ["3535", "5555", "3535"][grip];
  const ahead = [{ bar: { place: 1 }, beats: 4 }];
  const next = nextGrip(bars[0], a, 1, 0, ahead, (bar) => bars[bar.place], frets);
  assert.deepEqual(next, { slot: b, beats: 5 });
  assert.equal(toGoWords(5, 1), "in 5");
  assert.equal(nextGrip(bars[0], a, 1, 0, [], () => [], frets), null);
  assert.deepEqual(nextGrip([a, b], a, 0.5, 0, [], () => [], frets), { slot: b, beats: 1.5 });
  assert.equal(toGoWords(1.5, 1), "in 2");
});

test("fingers that stay, the shift and its direction are said", () => {
  const minor = { at: [3, 5, 3, 4], fingers: [1, 3, 1, 2] };
  const sixth = { at: [3, 5, 3, 5], fingers: [1, 3, 1, 4] };
  const up = { at: [5, 7, 5, 7], fingers: [1, 3, 1, 4] };
  assert.deepEqual(stayingFingers(sixth, minor), [1, 3]);
  assert.equal(moveWords(sixth, minor, 0), "fingers 1 3 stay");
  assert.equal(moveWords(sixth, up, 2), "slide the shape 2 frets up the neck");
  assert.equal(moveWords(up, minor, -2), "2 frets down, towards the nut");
  const crossed = { at: [3, 5, 3, 6], fingers: [1, 2, 1, 4] };
  assert.equal(moveWords(minor, { ...crossed, fingers: [2, 4, 2, 3] }, 0), "the hand stays, fingers change");
});

test("numbers are held between their limits", () => {
  assert.equal(held("250", SPEED_PERCENT), 150);
  assert.equal(held("-1", SPEED_PERCENT), 40);
  assert.equal(held("no number", RATIO), 1);
  assert.equal(held(2.2, RATIO), 2.2);
});

test("ratios have names where the trade has one", () => {
  assert.equal(ratioWords(1), "straight");
  assert.equal(ratioWords(2), "2.0 : 1 (triplet)");
  assert.equal(ratioWords(2.6), "2.6 : 1");
});

test("the slot and the strokes of a moment", () => {
  const slots = [{ at: 0 }, { at: 2 }];
  assert.equal(slotAt(slots, 1.99), slots[0]);
  assert.equal(slotAt(slots, 2), slots[1]);
  assert.deepEqual(strokesBetween([{ beat: 3.5 }, { beat: 4 }, { beat: 8 }], 4, 8), [{ beat: 4 }]);
  assert.deepEqual(strokeSign({ direction: "up", kind: "strum" }), { sign: "↑", words: "up" });
  assert.deepEqual(strokeSign({ direction: "down", kind: "chuck" }), { sign: "✕", words: "damped down" });
});

test("the marker is found wherever a decoder has moved it", () => {
  for (const delay of [0, 1, 529, 1105, 2257]) {
    const samples = new Float32Array(48000);
    samples[4800 + delay] = 0.9;
    samples[4800 + delay + 40] = 0.5;
    samples[30000] = 1;
    assert.equal(findMark(samples, 48000, 0.1), 4800 + delay);
  }
});
