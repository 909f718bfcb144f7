/** The live controls: lane, depth, tempo and swing. */

import { byId } from "./dom.mjs";

const DEPTHS = ["0 as written", "1 colours", "2 ii–V, passing", "3 substitutes", "4 everything"];
const KEPT = ["tempo", "swing", "strum", "bass", "drums"];

/** Make the rail work on `controls`; `onControl(name)` hears of a change. */
export function makeRail(controls, { onControl, onKeep }) {
  const lane = byId("lane");
  const depth = byId("depth");
  const tempo = byId("tempo");
  const swing = byId("swing");

  function changed() {
    byId("lane-words").textContent = `${controls.lane} lane`;
    lane.setAttribute("aria-pressed", String(controls.lane === "swing"));
    byId("depth-words").textContent = DEPTHS[controls.depth];
    byId("swing-words").textContent = controls.swing === undefined ? "as the chart says"
      : controls.swing === 1 ? "straight" : `${controls.swing} : 1`;
    if (controls.swing === undefined) swing.value = swing.min;
    byId("keep").hidden = !KEPT.some((name) => controls[name] !== undefined);
  }

  lane.addEventListener("click", () => {
    controls.lane = controls.lane === "swing" ? "plain" : "swing";
    changed();
    onControl("lane");
  });
  depth.addEventListener("input", () => {
    controls.depth = Number(depth.value);
    changed();
    onControl("depth");
  });
  tempo.addEventListener("input", () => {
    controls.tempo = Number(tempo.value);
    byId("tempo-words").textContent = `${tempo.value} bpm`;
    changed();
    onControl("tempo");
  });
  swing.addEventListener("input", () => {
    const value = Math.round(Number(swing.value) * 10) / 10;
    if (value < 1) delete controls.swing;
    else controls.swing = value;
    changed();
    onControl("swing");
  });
  byId("keep").addEventListener("click", onKeep);
  changed();

  return {
    changed,
    /** Show what the chart says where the controls leave it. */
    show: (seen) => {
      if (controls.tempo === undefined) {
        tempo.value = seen.tempo;
        byId("tempo-words").textContent = `${Math.round(seen.tempo)} bpm`;
      }
      changed();
    },
  };
}
