/** The moment that is heard, on the stage and the boards; only what has changed is touched. */

import { unswung } from "../band/clock.mjs";
import { moveWords, nextGrip, slotAt, toGoWords } from "../band/next.mjs";
import { barsFrom } from "../band/plan.mjs";
import { BARS_AHEAD } from "../band/planner.mjs";
import { strokesBetween } from "./stage.mjs";

const TURN_WORDS = { listen: "Listen", answer: "Your turn: you play the chords" };

/** Make what shows a moment; `says` is the element that says whose turn it is. */
export function makeMoment({ tune, choice, stage, boards, follow, says, stillness }) {
  const lanes = new Map(tune.lanes.map((lane) => [lane.name, {
    slots: lane.slots,
    strokes: lane.strokes.map(([beat, direction, kind]) => ({ beat, direction, kind })),
  }]));
  let queue = [];
  let bar = null;
  let slot = null;
  let light = null;
  let followed = null;
  let trouble = "";
  let shownHalf = "";

  const fretsOf = (grip) => tune.grips[grip].frets;
  const slotsOf = (other) => lanes.get(choice.lane).slots[other.place];

  /** Show a bar as it is `at` beats into it; `ahead` bars come `beats` after `from`. */
  function showBar(shown, at, from, ahead) {
    const slots = slotsOf(shown);
    const due = slotAt(slots, at);
    if (shown !== bar) {
      stage.hang(shown.beats);
      const { strokes } = lanes.get(choice.lane);
      const end = shown.start + shown.beats;
      stage.showStrokes(strokesBetween(strokes, shown.start, end), shown.start, shown.beats);
    }
    const unit = Math.floor(at / tune.unit + 1e-6);
    if (shown === bar && due === slot && unit === light) return unit;
    const next = nextGrip(slots, due, unit * tune.unit, from, ahead, slotsOf, fretsOf);
    if (shown !== bar || due !== slot) {
      const way = next && due.grip !== null
        ? moveWords(tune.grips[due.grip], tune.grips[next.slot.grip], tune.shifts[due.grip][next.slot.grip])
        : "";
      stage.showGrips(due, next && next.slot, way);
    }
    stage.showToGo(next ? toGoWords(next.beats, tune.unit) : "");
    [bar, slot, light] = [shown, due, unit];
    return unit;
  }

  /** Show the bar that Play begins with, at rest. */
  function showStart() {
    const [{ bar: first }, ...ahead] = barsFrom(tune.bars, { ...choice, mode: "along" }, BARS_AHEAD);
    bar = null;
    showBar(first, 0, 0, ahead);
    stage.light(-1);
    light = null;
  }

  /** Show what is heard at a time of the audio clock. */
  function draw(now) {
    while (queue.length > 1 && queue[1].time <= now) queue.shift();
    const beat = queue[0];
    if (!beat || beat.time > now) return;
    const fraction = Math.min(1, (now - beat.time) / beat.seconds);
    const written = beat.from + unswung(fraction, beat.ratio) * (beat.to - beat.from);
    say(trouble || turnWords(beat));
    document.body.classList.toggle("answering", beat.span.turn === "answer");
    if (!beat.bar) {
      drawCount(beat);
      return;
    }
    const at = written - beat.bar.start;
    stage.light(showBar(beat.bar, at, beat.from - beat.bar.start, beat.ahead));
    stage.playStroke(written);
    const half = `${beat.bar.place} ${Math.floor(2 * at + 1e-6)}`;
    if (half !== shownHalf) boards.showPlaying(beat.bar.place, at);
    shownHalf = half;
    if (!stillness.matches) stage.movePick(at, beat.bar.beats);
    keepInView(beat.bar.place);
  }

  function drawCount(beat) {
    const led = tune.bars.find((other) => Math.abs(other.start - beat.span.end) < 1e-6);
    const [first, ...later] = beat.ahead;
    showBar(led, 0, 0, later.map((each) => ({ ...each, beats: each.beats - first.beats })));
    const inside = beat.from - beat.span.start;
    stage.light(Math.floor((inside % led.beats) / tune.unit + 1e-6));
    boards.showPlaying(null, 0);
    shownHalf = "";
    keepInView(led.place);
  }

  function keepInView(place) {
    if (place !== followed) follow(boards.plank(place));
    followed = place;
  }

  /** Say something once: a screen reader reads every change. */
  function say(words) {
    if (says.textContent !== words) says.textContent = words;
  }

  /** Say what is in the way of the sound, until "" says that nothing is. */
  function warn(words) {
    trouble = words;
    say(words);
  }

  function turnWords(beat) {
    if (beat.span.count) return "Count-in";
    if (beat.span.turn) return TURN_WORDS[beat.span.turn];
    if (choice.mode === "fade") return `Chords at ${Math.round(beat.span.chords * 100)} %`;
    return "";
  }

  /** Forget what was to be shown, all of it or from a time on. */
  function forget(from = -Infinity) {
    queue = queue.filter((beat) => beat.time < from);
    if (queue.length) return;
    followed = null;
    shownHalf = "";
    stage.light(-1);
    boards.showPlaying(null, 0);
  }

  return {
    showStart, draw, say, warn, forget,
    add: (beat) => queue.push(beat),
    redraw: () => { bar = null; },
    get place() { return queue[0] && queue[0].bar ? queue[0].bar.place : null; },
    get ratioBeat() { return bar ? bar.start : 0; },
  };
}
