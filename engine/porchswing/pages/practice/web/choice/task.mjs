/** A task in the page's address, such as `#bars=21-28&tempo=70&chords=mine`. */

import { going, held, looping, SPEED_PERCENT } from "./choices.mjs";

const WORDS = {
  chords: { heard: "the chords are heard", softer: "the chords play softly", mine: "the chords are yours" },
  mode: { along: "play along", answer: "listen, then answer", fade: "the chords fade out" },
  lane: { plain: "the plain lane", swing: "the swing lane" },
};

/** Read a task, or null where the text holds none this tune can do. Bars count from 1. */
export function readTask(text, tune) {
  const fields = new URLSearchParams(text.replace(/^#/, ""));
  const places = 1 + Math.max(...tune.bars.map((bar) => bar.place));
  const task = {};
  const bars = /^(\d+)(?:-(\d+))?$/.exec(fields.get("bars") || "");
  if (bars) {
    const [first, last] = [Number(bars[1]), Number(bars[2] || bars[1])];
    if (first >= 1 && first <= last && last <= places) Object.assign(task, { first, last });
  }
  if (/^\d+$/.test(fields.get("tempo") || "")) task.percent = held(fields.get("tempo"), SPEED_PERCENT);
  for (const name of ["chords", "mode", "lane"]) {
    const value = fields.get(name);
    if (Object.hasOwn(WORDS[name], value)) task[name] = value;
  }
  if (task.lane && !tune.lanes.some((lane) => lane.name === task.lane)) delete task.lane;
  return Object.keys(task).length ? task : null;
}

/** A task in words. */
export function taskWords(task) {
  const said = [];
  if (task.first) said.push(task.first === task.last ? `bar ${task.first}` : `bars ${task.first} to ${task.last}`);
  if (task.percent) said.push(`at ${task.percent} %`);
  const words = said.length ? [said.join(" ")] : [];
  for (const name of ["chords", "mode", "lane"]) if (task[name]) words.push(WORDS[name][task[name]]);
  return words.join(", ");
}

/** Choices as a task wants them; what it does not name stays. */
export function tasked(choice, task) {
  let found = { ...choice };
  if (task.first) found = looping({ ...found, start: task.first - 1 }, task.first - 1, task.last - 1);
  else found = going(found, 0);
  if (task.percent) found.speed = task.percent / 100;
  for (const name of ["chords", "mode", "lane"]) if (task[name]) found[name] = task[name];
  return found;
}
