/** The player's controls: they read and write one record of choices and one of levels. */

import { CHORUSES, held, RATIO, ratioWords, SPEED_PERCENT } from "../choice/choices.mjs";
import { byId, make } from "./dom.mjs";

const PART_WORDS = {
  chords: "Chords", bass: "Bass", drums: "Drums", count: "Count-in", line: "Line", melody: "Melody",
};
const LANE_WORDS = { swing: "Swing", plain: "Plain", "three strings": "Three strings" };
const STEP_PERCENT = 5;
const MASTER = "overall";

/** Names of the parts any lane plays, in mixing order. */
function partNames(tune) {
  return [...new Set(tune.lanes.flatMap((lane) => lane.parts.map((part) => part.name)))];
}

/** A row of buttons of which one is pressed; `pick(value)` hears of a press. */
function makeGroup(group, pick) {
  group.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-value]");
    if (!button) return;
    show(button.dataset.value);
    pick(button.dataset.value);
  });

  function show(value) {
    for (const button of group.querySelectorAll("button[data-value]")) {
      button.setAttribute("aria-pressed", String(button.dataset.value === value));
    }
  }

  return show;
}

function option(value, words) {
  return make("button", { type: "button", "data-value": value }, words);
}

function level(name, words, percent, change) {
  const slider = make("input", {
    type: "range", min: 0, max: 100, step: 1, value: percent, "aria-label": `${words} level`,
  });
  const output = make("output", {}, `${percent} %`);
  slider.addEventListener("input", () => {
    output.textContent = `${slider.value} %`;
    change();
  });
  return { slider, output };
}

/**
 * Wire every control. `choice` is the record the planner reads; `on` hears of each change:
 * `replan`, `feel` (tempo or swing), `levels`, `line`, `lane`, and `count` of the count-in.
 */
export function makeControls(tune, choice, kept, firstBpm, ratioNow, on) {
  const levels = new Map();
  const shows = {};

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
    on.feel();
  }

  function showSwing() {
    const ratio = choice.ratio === null ? ratioNow() : choice.ratio;
    byId("own-swing").setAttribute("aria-pressed", String(choice.ratio === null));
    byId("ratio").value = ratio;
    byId("ratio-words").textContent = ratioWords(ratio);
    byId("ratio").setAttribute("aria-valuetext", ratioWords(ratio));
  }

  function setRatio(ratio) {
    choice.ratio = ratio === null ? null : held(ratio, RATIO);
    showSwing();
    on.feel();
  }

  function showChoruses() {
    byId("choruses").textContent = String(choice.choruses);
  }

  function setChoruses(count) {
    choice.choruses = Math.round(held(count, CHORUSES));
    showChoruses();
    on.replan();
  }

  function wireTempo() {
    Object.assign(byId("speed"), { min: SPEED_PERCENT.least, max: SPEED_PERCENT.most });
    byId("speed").addEventListener("input", (event) => setSpeed(event.target.value));
    byId("slower").addEventListener("click", () => step(-1));
    byId("faster").addEventListener("click", () => step(1));
    Object.assign(byId("ratio"), { min: RATIO.least, max: RATIO.most });
    byId("ratio").addEventListener("input", (event) => setRatio(event.target.value));
    byId("own-swing").addEventListener("click", () => setRatio(choice.ratio === null ? ratioNow() : null));
    byId("fewer").addEventListener("click", () => setChoruses(choice.choruses - 1));
    byId("more").addEventListener("click", () => setChoruses(choice.choruses + 1));
  }

  /** Step the tempo up or down. */
  function step(direction) {
    setSpeed(Math.round(choice.speed * 100) + direction * STEP_PERCENT);
  }

  function wireGroups() {
    const lanes = byId("lanes");
    lanes.closest("fieldset").hidden = tune.lanes.length < 2;
    lanes.append(...tune.lanes.map((lane) => option(lane.name, LANE_WORDS[lane.name] || lane.name)));
    byId("counts").closest("fieldset").hidden = tune.countIn === 0;
    const strings = tune.strings.map((note, index) => (
      option(String(index), `${tune.strings.length - index} (${note})`)));
    byId("strings").append(option("", "Off"), ...strings);
    const set = (name, then) => (value) => {
      choice[name] = value;
      then();
    };
    shows.mode = makeGroup(byId("modes"), set("mode", on.replan));
    shows.lane = makeGroup(byId("lanes"), set("lane", on.lane));
    shows.countIn = makeGroup(byId("counts"), set("countIn", on.count));
    shows.chords = makeGroup(byId("chords"), set("chords", on.levels));
    const showString = makeGroup(byId("strings"), (value) => on.line(value === "" ? null : Number(value)));
    showString(tune.line === null ? "" : String(tune.line));
  }

  function keptLevel(name) {
    const value = kept.levels && kept.levels[name];
    return Number.isFinite(value) && value >= 0 && value <= 100 ? value : 100;
  }

  function wireLevels() {
    const field = byId("parts");
    const row = (name, words, head) => {
      const part = level(name, words, keptLevel(name), on.levels);
      levels.set(name, { slider: part.slider, button: head });
      field.append(make("div", { class: "part" }, head || make("span", {}, words), part.slider, part.output));
    };
    row(MASTER, "Overall", null);
    for (const name of partNames(tune)) {
      const words = PART_WORDS[name] || name;
      const state = make("small", { "aria-hidden": "true" }, "on");
      const button = make(
        "button",
        { type: "button", role: "switch", "aria-checked": "true", class: "switch", "data-part": name },
        words, state,
      );
      button.addEventListener("click", () => {
        const isOn = button.getAttribute("aria-checked") !== "true";
        button.setAttribute("aria-checked", String(isOn));
        state.textContent = isOn ? "on" : "muted";
        on.levels();
      });
      row(name, words, button);
    }
  }

  /** Open or close the sheet of choices (a wide page always shows it). */
  function openSetup(shown) {
    byId("setup").classList.toggle("open", shown);
    byId("open-setup").setAttribute("aria-expanded", String(shown));
    byId("open-setup").textContent = shown ? "Close" : "Set up";
  }

  /** Close the sheet and return whether it was open. */
  function closeSetup() {
    const shown = byId("setup").classList.contains("open");
    if (shown) {
      openSetup(false);
      byId("open-setup").focus();
    }
    return shown;
  }

  /** Show every choice as it is now. */
  function show() {
    showTempo();
    showChoruses();
    for (const [name, press] of Object.entries(shows)) press(choice[name]);
  }

  wireTempo();
  wireGroups();
  wireLevels();
  byId("open-setup").addEventListener("click", () => {
    openSetup(!byId("setup").classList.contains("open"));
  });
  show();

  /** Level of a part from 0 to 1, as the square of its slider, nearer to how loud it seems. */
  function levelOf(name) {
    const { slider, button } = levels.get(name);
    const isOn = button === null || button.getAttribute("aria-checked") === "true";
    return isOn ? (slider.value / 100) ** 2 : 0;
  }

  return {
    closeSetup, show, step, levelOf,
    parts: [...levels.keys()].filter((name) => name !== MASTER),
    masterLevel: () => levelOf(MASTER),
    levels: () => Object.fromEntries([...levels].map(([name, { slider }]) => [name, Number(slider.value)])),
  };
}
