/**
 * When everything sounds: slices of the plan turned into notes with times on a clock.
 *
 * Tempo, swing, lane and mode may change while it runs; a change takes hold with the next
 * beat, so no note is ever lost, doubled or stretched.
 */

import { makeClock } from "./clock.mjs";
import { goingOn, slices, spans } from "./plan.mjs";

/** How many bars ahead a planned beat tells. */
export const BARS_AHEAD = 12;

/** Parts that fall silent or fade with the chords, for the student to play. */
export const STUDENT_PARTS = ["chords"];

/** What keeps the beat: every part is on it at whole beats. */
const BEAT = { name: "drums", even: new Set() };

/** Notes of a part from beat `start` up to `end`, both in written beats; notes are in order. */
export function notesBetween(notes, start, end) {
  let low = 0;
  let high = notes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (notes[middle].beat < start - 1e-6) low = middle + 1;
    else high = middle;
  }
  const found = [];
  while (low < notes.length && notes[low].beat < end - 1e-6) {
    found.push(notes[low]);
    low += 1;
  }
  return found;
}

/** Unfold the compact rows of the page's data into notes. */
export function unfoldNotes(rows) {
  return rows.map(([beat, late, end, endLate, sound, gain, seat, string, bends]) => ({
    beat, late, end, endLate, sound, gain, seat, string, bends: bends || [],
  }));
}

/** Make a planner of a tune; `choice` is read afresh at every beat. */
export function makePlanner(tune, choice) {
  const clock = makeClock(tune.clock);
  const lanes = new Map();
  for (const lane of tune.lanes) {
    const parts = lane.parts.map((part) => ({
      name: part.name, even: new Set(part.even), notes: unfoldNotes(part.notes),
    }));
    lanes.set(lane.name, parts);
  }
  let source = null;
  let queue = [];
  let time = 0;
  let last = null;

  /** Begin at `seconds` on the clock. */
  function start(seconds) {
    time = seconds;
    last = null;
    queue = [];
    source = slices(spans(tune.bars, choice, tune.countIn));
  }

  /** Take a changed mode, loop or number of choruses: finish this bar, then go on from there. */
  function replan() {
    if (source !== null) goOn(null);
  }

  /** Go to a place with the next bar line (at once while the count-in is not over). */
  function jump(place) {
    goOn(place);
  }

  /** Forget what was planned from `seconds` on; `before` is the beat planned just before. */
  function rewind(before, seconds) {
    last = before.bar ? { bar: before.bar, to: before.to, span: before.span } : null;
    time = seconds;
  }

  /** Go on at a place, or where the tune goes on by itself for null. */
  function goOn(place) {
    queue = [];
    if (last === null) source = slices(spans(tune.bars, choice, tune.countIn));
    else source = slices(finishAndGoOn(last, place));
  }

  function* finishAndGoOn({ bar, to, span }, place) {
    const end = bar.start + bar.beats;
    if (to < end - 1e-6) yield { ...span, start: to, end };
    let resume = { place, round: span.round };
    if (place === null && choice.to === null) resume = goingOn(tune.bars, choice, bar, span.round);
    else if (place === null) resume.place = bar.place + 1;
    yield* spans(tune.bars, choice, tune.countIn, resume);
  }

  function barAt(beats) {
    return tune.bars.find((bar) => beats > bar.start - 1e-6 && beats < bar.start + bar.beats - 1e-6);
  }

  /** The slice `ahead` steps from here, or null behind the end. */
  function look(ahead) {
    while (source !== null && queue.length <= ahead) {
      const step = source.next();
      if (step.done) return null;
      const slice = step.value;
      queue.push({ ...slice, bar: slice.span.count ? null : barAt(slice.start) });
    }
    return queue[ahead] || null;
  }

  /** The bars that begin later: `{bar, beats}` with the beats until each, `beats` away at first. */
  function barsAhead(beatsAway) {
    const found = [];
    let beats = beatsAway;
    for (let ahead = 0; found.length < BARS_AHEAD; ahead += 1) {
      const slice = look(ahead);
      if (slice === null) break;
      if (slice.bar && slice.start < slice.bar.start + 1e-6) found.push({ bar: slice.bar, beats });
      beats += slice.end - slice.start;
    }
    return found;
  }

  /** Plan the next beat, or return null when the tune is over. */
  function next() {
    const slice = look(0);
    if (slice === null) {
      source = null;
      return null;
    }
    queue.shift();
    const { span, start: from, end: to } = slice;
    const felt = { speed: choice.speed, ratio: choice.ratio };
    // a count-in is written before beat 0 and played, at the tempo it leads to, before any bar
    const shift = span.count ? span.end : 0;
    const steady = 60 / clock.quarterBpm(shift, 1);
    const secondsAt = span.count ? (beats) => beats * steady : clock.seconds;
    const warped = (beats, part) => secondsAt(clock.warp(beats, part.name, part.even, felt));
    const base = warped(from - shift, BEAT);
    const at = (beats, part) => time + (warped(beats, part) - base) / felt.speed;
    const notes = [];
    for (const part of lanes.get(choice.lane)) {
      const level = STUDENT_PARTS.includes(part.name) ? span.chords : 1;
      const leads = !span.count || shift === 0 || part.name === "count";
      if (level === 0 || !leads) continue;
      for (const note of notesBetween(part.notes, from - shift, to - shift)) {
        const onset = at(note.beat, part) + note.late;
        const end = (note.end === null ? onset : at(note.end, part)) + note.endLate;
        notes.push({ ...note, part: part.name, gain: note.gain * level, time: onset, end });
      }
    }
    const { bar } = slice;
    const ratio = tune.clock.unit === 1 && !span.count ? clock.ratioAt(from, felt) : 1;
    const seconds = at(to - shift, BEAT) - time;
    const planned = { time, seconds, from, to, span, bar, ratio, notes, ahead: barsAhead(to - from) };
    if (bar) last = { bar, to, span };
    time += planned.seconds;
    return planned;
  }

  /** Move the plan to a later moment, after the browser slept. */
  function catchUp(seconds) {
    time = Math.max(time, seconds);
  }

  return { start, replan, jump, rewind, next, catchUp, get time() { return time; } };
}
