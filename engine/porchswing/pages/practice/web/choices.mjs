/**
 * What the player may choose, with its limits, and the touch that sets a loop: no page needed.
 */

import { chorusVersions } from "./plan.mjs";

export const SPEED_PERCENT = { least: 40, most: 150 };
export const RATIO = { least: 1, most: 3.5 };
export const CHORUSES = { least: 1, most: 20 };

/** The choices a fresh page starts with. */
export function firstChoice(tune) {
  return {
    speed: 1, ratio: null, lane: tune.lanes[0].name, mode: "along",
    choruses: chorusVersions(tune.bars), countIn: tune.countIn > 0 ? "once" : "none", from: null, to: null,
  };
}

/** A number held between limits; what is no number becomes the least. */
export function held(value, { least, most }) {
  const number = Number(value);
  return Number.isFinite(number) ? Math.min(most, Math.max(least, number)) : least;
}

/** The first touch sets the start, the second closes the loop, the third begins anew. */
export function touched(choice, place) {
  if (choice.from === null || choice.to !== null) return { ...choice, from: place, to: null };
  const [from, to] = [choice.from, place].sort((a, b) => a - b);
  return { ...choice, from, to };
}

/** A ratio as players say it. */
export function ratioWords(ratio) {
  if (ratio < 1.05) return "straight";
  const near = [[2, "triplet"], [3, "dotted"]].find(([value]) => Math.abs(ratio - value) < 0.05);
  return `${ratio.toFixed(1)} : 1${near ? ` (${near[1]})` : ""}`;
}

/** The line that says what will be played. */
export function playingWords(choice) {
  if (choice.from === null) return "Touch a bar to start there, then another to loop.";
  if (choice.to === null) {
    return `Starts at bar ${choice.from + 1}. Touch the last bar to loop.`;
  }
  if (choice.from === choice.to) return `Loop: bar ${choice.from + 1}.`;
  return `Loop: bars ${choice.from + 1} to ${choice.to + 1}.`;
}
