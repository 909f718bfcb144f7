/** The player's controls: they read and write one record of choices and one of levels. */

import { CHORUSES, held, RATIO, ratioWords, SPEED_PERCENT } from "./choices.mjs";
import { byId, make } from "./dom.mjs";

const PART_WORDS = {
  chords: "Chords", bass: "Bass", drums: "Drums", count: "Count-in", line: "Line", melody: "Melody",
};
const LANE_WORDS = { swing: "Swing", plain: "Plain" };
const FIRST_MASTER_PERCENT = 50;
const STEP_PERCENT = 5;

/** Names of the parts any lane plays, in mixing order. */
function partNames(tune) {
  return [...new Set(tune.lanes.flatMap((lane) => lane.parts.map((part) => part.name)))];
}

function radio(name, value, words, checked) {
  return make(
    "label", { class: "choice" },
    make("input", { type: "radio", name, value, checked }), make("span", {}, words),
  );
}

function level(name, words, percent, change) {
  const slider = make("input", {
    type: "range", min: 0, max: 100, step: 1, value: percent, "aria-label": `${words} level`,
  });
  const told = make("output", {}, `${percent} %`);
  slider.addEventListener("input", () => {
    told.textContent = `${slider.value} %`;
    change();
  });
  return { slider, told };
}

/**
 * Wire every control. `choice` is the record the planner reads; `heard` is told of each change:
 * `replan`, `feel` (tempo or swing), `levels`, `line` and `lane`.
 */
export function makeControls(tune, choice, firstBpm, ratioNow, heard) {
  const levels = new Map();
  const master = level("master", "Overall", FIRST_MASTER_PERCENT, () => heard.levels());

  function showTempo() {
    const percent = Math.round(choice.speed * 100);
    byId("speed").value = percent;
    const words = `${Math.round(firstBpm * choice.speed)} bpm, ${percent} %`;
    byId("speed-words").textContent = words;
    byId("speed").setAttribute("aria-valuetext", words);
    showSwing();
  }

  function setSpeed(percent) {
    choice.speed = held(percent, SPEED_PERCENT) / 100;
    showTempo();
    heard.feel();
  }

  function showSwing() {
    const ratio = choice.ratio === null ? ratioNow() : choice.ratio;
    byId("own-swing").checked = choice.ratio === null;
    byId("ratio").value = ratio;
    byId("ratio-words").textContent = ratioWords(ratio);
    byId("ratio").setAttribute("aria-valuetext", ratioWords(ratio));
  }

  function setRatio(ratio) {
    choice.ratio = ratio === null ? null : held(ratio, RATIO);
    showSwing();
    heard.feel();
  }

  function setChoruses(count) {
    choice.choruses = Math.round(held(count, CHORUSES));
    byId("choruses").value = choice.choruses;
    heard.replan();
  }

  function wireTempo() {
    const speed = byId("speed");
    speed.min = SPEED_PERCENT.least;
    speed.max = SPEED_PERCENT.most;
    speed.addEventListener("input", () => setSpeed(speed.value));
    byId("slower").addEventListener("click", () => setSpeed(choice.speed * 100 - STEP_PERCENT));
    byId("faster").addEventListener("click", () => setSpeed(choice.speed * 100 + STEP_PERCENT));
    const ratio = byId("ratio");
    ratio.min = RATIO.least;
    ratio.max = RATIO.most;
    ratio.addEventListener("input", () => setRatio(ratio.value));
    byId("own-swing").addEventListener("change", (event) => {
      setRatio(event.target.checked ? null : ratioNow());
    });
  }

  function wireRadios(name, start, change) {
    for (const input of document.querySelectorAll(`input[name="${name}"]`)) {
      input.checked = input.value === start;
      input.addEventListener("change", () => change(input.value));
    }
  }

  function wirePlan() {
    wireRadios("mode", choice.mode, (mode) => {
      choice.mode = mode;
      heard.replan();
    });
    wireRadios("count", choice.countIn, (countIn) => {
      choice.countIn = countIn;
    });
    byId("counts").hidden = tune.countIn === 0;
    byId("choruses").min = CHORUSES.least;
    byId("choruses").max = CHORUSES.most;
    byId("choruses").value = choice.choruses;
    byId("choruses").addEventListener("change", (event) => setChoruses(event.target.value));
    byId("fewer").addEventListener("click", () => setChoruses(choice.choruses - 1));
    byId("more").addEventListener("click", () => setChoruses(choice.choruses + 1));
  }

  function wireLanes() {
    const field = byId("lanes");
    field.hidden = tune.lanes.length < 2;
    for (const lane of tune.lanes) field.append(radio("lane", lane.name, LANE_WORDS[lane.name] || lane.name));
    wireRadios("lane", choice.lane, (lane) => {
      choice.lane = lane;
      heard.lane();
    });
  }

  function wireStrings() {
    const field = byId("strings");
    field.append(radio("string", "", "Off"));
    tune.strings.forEach((note, index) => {
      field.append(radio("string", String(index), `${tune.strings.length - index} (${note})`));
    });
    const start = tune.line === null ? "" : String(tune.line);
    wireRadios("string", start, (value) => heard.line(value === "" ? null : Number(value)));
  }

  function wireLevels() {
    const field = byId("parts");
    field.append(make("div", { class: "part" }, make("span", {}, "Overall"), master.slider, master.told));
    for (const name of partNames(tune)) {
      const words = PART_WORDS[name] || name;
      const part = level(name, words, 100, () => heard.levels());
      const state = make("small", { "aria-hidden": "true" }, "on");
      const sounds = make(
        "button",
        { type: "button", role: "switch", "aria-checked": "true", class: "switch", "data-part": name },
        words, state,
      );
      sounds.addEventListener("click", () => {
        const on = sounds.getAttribute("aria-checked") !== "true";
        sounds.setAttribute("aria-checked", String(on));
        state.textContent = on ? "on" : "muted";
        heard.levels();
      });
      levels.set(name, { slider: part.slider, sounds });
      field.append(make("div", { class: "part" }, sounds, part.slider, part.told));
    }
  }

  /** Open or close the sheet of choices (a wide page always shows it). */
  function openSetup(shown) {
    byId("setup").classList.toggle("open", shown);
    byId("open-setup").setAttribute("aria-expanded", String(shown));
    byId("open-setup").textContent = shown ? "Close" : "Set up";
  }

  /** Close the sheet and say whether it was open. */
  function closeSetup() {
    const shown = byId("setup").classList.contains("open");
    if (shown) {
      openSetup(false);
      byId("open-setup").focus();
    }
    return shown;
  }

  function wireSetup() {
    byId("open-setup").addEventListener("click", () => {
      openSetup(!byId("setup").classList.contains("open"));
    });
  }

  wireTempo();
  wirePlan();
  wireLanes();
  wireStrings();
  wireLevels();
  wireSetup();
  showTempo();

  /** Level of a part from 0 to 1, as the square of its slider, nearer to how loud it seems. */
  function levelOf(name) {
    const { slider, sounds } = levels.get(name);
    return sounds.getAttribute("aria-checked") === "true" ? (slider.value / 100) ** 2 : 0;
  }

  return {
    closeSetup,
    parts: [...levels.keys()],
    levelOf,
    masterLevel: () => (master.slider.value / 100) ** 2,
  };
}
