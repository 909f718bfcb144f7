/** Prints what the page's planner plays of a tune: [part, sound, seconds] of every note. */

import { readFileSync } from "node:fs";
import { makePlanner } from "../../../engine/porchswing/pages/practice/web/band/planner.mjs";

const { tune, lane } = JSON.parse(readFileSync(0, "utf8"));
const planner = makePlanner(tune, {
  lane, speed: 1, ratio: null, mode: "along", choruses: 1, countIn: "once", start: 0, from: null, to: null,
});
planner.start(0);
const notes = [];
for (let beat = planner.next(); beat !== null; beat = planner.next()) {
  for (const note of beat.notes) notes.push([note.part, note.sound, note.time]);
}
process.stdout.write(JSON.stringify(notes));
