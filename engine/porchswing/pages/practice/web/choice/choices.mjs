/**
 * What the player may choose, with its limits: no page needed.
 *
 * A choice has `speed` (1 as written), `ratio` (null follows the chart), `lane`, `mode`,
 * `choruses`, `countIn`, `chords` (who plays them), `start` (the place Play begins with) and
 * `from`, `to`: the places of a loop, or null for the whole tune.
 */

import { chorusVersions } from "../band/plan.mjs";

export const SPEED_PERCENT = { least: 40, most: 150 };
export const RATIO = { least: 1, most: 3.5 };
export const CHORUSES = { least: 1, most: 20 };

/** Level of the chord part for each way to share it, as a gain. */
export const CHORDS_LEVEL = { heard: 1, softer: 0.3, mine: 0 };

/** The choices a fresh page starts with. */
export function firstChoice(tune) {
  return {
    speed: 1, ratio: null, lane: tune.lanes[0].name, mode: "along", chords: "heard",
    choruses: chorusVersions(tune.bars), countIn: tune.countIn > 0 ? "once" : "none",
    start: 0, from: null, to: null,
  };
}

/** A number held between limits; what is no number becomes the least. */
export function held(value, { least, most }) {
  const number = Number(value);
  return Number.isFinite(number) ? Math.min(most, Math.max(least, number)) : least;
}

/** Choices that loop the places between two, whichever comes first, and start inside them. */
export function looping(choice, one, other) {
  const [from, to] = [one, other].sort((a, b) => a - b);
  const start = choice.start >= from && choice.start <= to ? choice.start : from;
  return { ...choice, from, to, start };
}

/** Choices that go to a place: a loop that does not hold it is given up. */
export function going(choice, place) {
  const inside = choice.to !== null && place >= choice.from && place <= choice.to;
  return inside ? { ...choice, start: place } : { ...choice, start: place, from: null, to: null };
}

/** A ratio as players say it. */
export function ratioWords(ratio) {
  if (ratio < 1.05) return "straight";
  const near = [[2, "triplet"], [3, "dotted"]].find(([value]) => Math.abs(ratio - value) < 0.05);
  return `${ratio.toFixed(1)} : 1${near ? ` (${near[1]})` : ""}`;
}

/** The line that says what will be played. */
export function playingWords(choice) {
  const start = `Starts at bar ${choice.start + 1}.`;
  if (choice.to === null) return choice.start ? start : "The whole tune.";
  const bars = choice.from === choice.to
    ? `bar ${choice.from + 1}` : `bars ${choice.from + 1} to ${choice.to + 1}`;
  return `Loop: ${bars}.${choice.start === choice.from ? "" : ` ${start}`}`;
}
