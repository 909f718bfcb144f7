import assert from "node:assert/strict";
import test from "node:test";

import {
  held, playingWords, ratioWords, RATIO, SPEED_PERCENT, touched,
} from "../../../engine/porchswing/pages/practice/web/choices.mjs";
import { boardsOf, threadOf, widthClass } from "../../../engine/porchswing/pages/practice/web/boards.mjs";
import { findMark } from "../../../engine/porchswing/pages/practice/web/sounds.mjs";
import { slotAt, strokeSign, strokesBetween } from "../../../engine/porchswing/pages/practice/web/stage.mjs";

test("the first touch starts, the second loops in either order, the third starts anew", () => {
  const first = touched({ from: null, to: null }, 6);
  assert.deepEqual(first, { from: 6, to: null });
  const second = touched(first, 3);
  assert.deepEqual(second, { from: 3, to: 6 });
  assert.deepEqual(touched(second, 9), { from: 9, to: null });
  assert.deepEqual(touched(first, 6), { from: 6, to: 6 });
});

test("what will be played is said in words", () => {
  assert.match(playingWords({ from: null, to: null }), /Touch a bar/);
  assert.match(playingWords({ from: 4, to: null }), /bar 5/);
  assert.equal(playingWords({ from: 4, to: 7 }), "Loop: bars 5 to 8.");
  assert.equal(playingWords({ from: 4, to: 4 }), "Loop: bar 5.");
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

test("boards hold four bars and begin anew with a section", () => {
  const bars = Array.from({ length: 6 }, (_, index) => ({ section: "A", role: "form", bar: index + 1 }));
  bars.push({ section: "A", role: "form", bar: 1 }, { section: "B", role: "form", bar: 1 });
  assert.deepEqual(boardsOf(bars).map((board) => board.length), [4, 2, 1, 1]);
});

test("the thread breaks at rests and muted strings", () => {
  const slot = (at, fret) => ({ at, grip: 0, frets: [fret], midi: [67 + fret], notes: ["C"] });
  const lane = { slots: [
    [slot(0, 5), { at: 1, grip: null }, slot(2, 4)],
    [slot(0, 3), { at: 2, grip: 1, frets: [null], midi: [null], notes: [""] }],
  ] };
  const board = [{ place: 0, beats: 4 }, { place: 1, beats: 4 }];
  const beads = threadOf(board, lane, 0);
  assert.deepEqual(beads.map((bead) => bead.fret), [5, 4, 3]);
  assert.deepEqual(beads.map((bead) => bead.joined), [false, false, true]);
  assert.deepEqual(beads.map((bead) => bead.x), [0, 12.5, 25]);
});

test("long chord symbols get smaller letters", () => {
  assert.equal(widthClass([{ text: "F6" }, { text: "Gm7" }]), "");
  assert.equal(widthClass([{ text: "A♭m7♭5" }]), "");
  assert.equal(widthClass([{ text: "F♯dim7♭9" }]), " wide");
  assert.equal(widthClass([{ text: "F" }, { text: "G" }, { text: "Cmaj7" }]), " wide");
  assert.equal(widthClass([{ text: "G♭maj7♯11" }]), " wider");
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
