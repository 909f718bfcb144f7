/** The page at work: the tune's data, the boards, the stage, the controls and the band. */

import { makeBoards } from "./boards.mjs";
import { firstChoice, playingWords, touched } from "./choices.mjs";
import { makeClock, unswung } from "./clock.mjs";
import { makeControls } from "./controls.mjs";
import { byId } from "./dom.mjs";
import { makePlayer } from "./player.mjs";
import { loadSounds } from "./sounds.mjs";
import { makeStage, slotAt, strokesBetween } from "./stage.mjs";

const SCROLL_REST_MS = 4000;
const TURN_WORDS = { listen: "Listen", answer: "Your turn: you play the chords" };

const tune = JSON.parse(byId("tune").textContent);
const choice = firstChoice(tune);
const clock = makeClock(tune.clock);
const strokes = new Map(tune.lanes.map((lane) => [
  lane.name, lane.strokes.map(([beat, direction, kind]) => ({ beat, direction, kind })),
]));
const lanesByName = new Map(tune.lanes.map((lane) => [lane.name, lane]));
const gallery = new Map([...document.querySelectorAll("[data-grip]")].map((figure) => (
  [Number(figure.dataset.grip), figure.querySelector("svg")])));
const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
const stage = makeStage(
  { lights: byId("lights"), now: byId("now"), next: byId("next"), strum: byId("strum") }, tune, gallery,
);
const boards = makeBoards(byId("boards"), tune, touchPlank);

let context = null;
let player = null;
let planned = [];
let shownBar = null;
let lineString = null;
let scrolledAt = -SCROLL_REST_MS;

const controls = makeControls(
  tune, choice,
  clock.quarterBpm(0, 1) / tune.felt,
  () => clock.ratioAt(shownBar ? shownBar.start : 0, { speed: choice.speed, ratio: null }),
  {
    feel: () => {},
    levels: applyLevels,
    replan: () => player && player.replan(),
    lane: () => {
      showBar(shownBar || firstBar());
      boards.showLine(lane(), lineString);
    },
    line: (string) => {
      lineString = string;
      boards.showLine(lane(), lineString);
    },
  },
);

function lane() {
  return lanesByName.get(choice.lane);
}

function firstBar() {
  return tune.bars.find((bar) => bar.place === (choice.from ?? 0));
}

function applyLevels() {
  if (!player) return;
  player.setMaster(controls.masterLevel());
  for (const name of controls.parts) player.setLevel(name, controls.levelOf(name));
}

function touchPlank(place) {
  Object.assign(choice, touched(choice, place));
  showLoop();
  if (!player || !player.playing) showBar(firstBar());
  else player.replan();
}

function showLoop() {
  boards.showLoop(choice.from, choice.to);
  byId("loop-words").textContent = playingWords(choice);
  byId("clear").hidden = choice.from === null;
}

function clearLoop() {
  choice.from = null;
  choice.to = null;
  showLoop();
  if (player && player.playing) player.replan();
}

/** The bar that is heard after this one, as far as it is planned, or by the page's order. */
function barAfter(bar) {
  const later = planned.find((beat) => beat.bar && beat.from >= bar.start + bar.beats - 1e-6 && beat.bar !== bar)
    || planned.find((beat) => beat.bar && beat.bar !== bar && beat.time > playingTime(bar));
  if (later) return later.bar;
  if (choice.to !== null && bar.place === choice.to) {
    return tune.bars.find((other) => other.place === choice.from);
  }
  return tune.bars.find((other) => other.place === bar.place + 1) || null;
}

function playingTime(bar) {
  const own = planned.filter((beat) => beat.bar === bar);
  return own.length ? own[own.length - 1].time : -Infinity;
}

/** Show a bar on the stage as it is `at` beats into it. */
function showBar(bar, at = 0, playing = false) {
  const slots = lane().slots[bar.place];
  const slot = slotAt(slots, at);
  const later = slots[slots.indexOf(slot) + 1];
  const after = later ? null : barAfter(bar);
  stage.hang(bar.beats);
  stage.showGrips(slot, later || (after && lane().slots[after.place][0]) || null);
  if (bar !== shownBar || !playing) {
    stage.showStrokes(strokesBetween(strokes.get(choice.lane), bar.start, bar.start + bar.beats), bar.start, bar.beats);
  }
  shownBar = bar;
}

function follow(place) {
  if (performance.now() - scrolledAt < SCROLL_REST_MS) return;
  const row = boards.plank(place).closest(".boardrow");
  const box = row.getBoundingClientRect();
  const roof = byId("now").closest(".stage").getBoundingClientRect();
  const top = roof.width > window.innerWidth * 0.7 ? Math.max(0, roof.bottom) : 0;
  const floor = window.innerHeight - 110;
  if (box.top >= top && box.bottom <= floor) return;
  const behavior = stillness.matches ? "auto" : "smooth";
  window.scrollBy({ top: box.top - top - 16, behavior });
}

/** Draw the moment that is heard now. */
function draw() {
  if (!player || !player.playing) return;
  requestAnimationFrame(draw);
  const now = context.currentTime - (context.outputLatency || 0);
  while (planned.length > 1 && planned[1].time <= now) planned.shift();
  const beat = planned[0];
  if (!beat || beat.time > now) return;
  const fraction = Math.min(1, (now - beat.time) / beat.seconds);
  const written = beat.from + unswung(fraction, beat.ratio) * (beat.to - beat.from);
  byId("turn").textContent !== turnWords(beat) && (byId("turn").textContent = turnWords(beat));
  document.body.classList.toggle("answering", beat.span.turn === "answer");
  if (!beat.bar) {
    const bar = tune.bars.find((other) => Math.abs(other.start - beat.span.end) < 1e-6) || firstBar();
    showBar(bar, 0, true);
    const inside = beat.from - beat.span.start;
    stage.light(Math.floor((inside % bar.beats) / tune.unit + 1e-6));
    boards.showPlaying(null, 0);
    return;
  }
  const at = written - beat.bar.start;
  const entered = beat.bar !== shownBar;
  showBar(beat.bar, at, true);
  stage.light(Math.floor(at / tune.unit + 1e-6));
  stage.playStroke(written);
  boards.showPlaying(beat.bar.place, at);
  if (!stillness.matches) byId("pick").style.left = `${(at / beat.bar.beats) * 100}%`;
  if (entered) follow(beat.bar.place);
}

function turnWords(beat) {
  if (beat.span.count) return "Count-in";
  if (beat.span.turn) return TURN_WORDS[beat.span.turn];
  if (choice.mode === "fade") return `Chords at ${Math.round(beat.span.chords * 100)} %`;
  return "";
}

function showStopped() {
  document.body.classList.remove("sounding", "answering");
  byId("play-words").textContent = "Play";
  byId("turn").textContent = "";
  stage.light(-1);
  boards.showPlaying(null, 0);
  planned = [];
}

async function play() {
  if (player && player.playing) {
    player.stop();
    showStopped();
    return;
  }
  const button = byId("play");
  button.disabled = true;
  try {
    if (!context) context = new AudioContext();
    if (!player) {
      byId("play-words").textContent = "Tuning up";
      const sounds = await loadSounds(context, tune.strip, byId("audio").textContent);
      player = makePlayer(context, tune, sounds, choice, {
        onPlan: (beat) => planned.push(beat), onEnd: showStopped,
      });
    }
    await context.resume();
    applyLevels();
    planned = [];
    player.start();
    document.body.classList.add("sounding");
    byId("play-words").textContent = "Stop";
    requestAnimationFrame(draw);
  } catch (error) {
    byId("play-words").textContent = "Play";
    byId("turn").textContent = `This browser could not make the sound: ${error.message}`;
  } finally {
    button.disabled = false;
  }
}

function keys(event) {
  const busy = event.target.closest("button, input, select, textarea");
  if (event.key === " " && !busy) {
    event.preventDefault();
    play();
  }
  if (event.key === "Escape") clearLoop();
}

byId("legend").textContent = tune.lanes.length > 1
  ? "Large: the swing lane. Small, below it: the plain lane." : "";
byId("play").addEventListener("click", play);
byId("clear").addEventListener("click", clearLoop);
document.addEventListener("keydown", keys);
for (const kind of ["wheel", "touchmove"]) {
  window.addEventListener(kind, () => { scrolledAt = performance.now(); }, { passive: true });
}
showLoop();
showBar(firstBar());
