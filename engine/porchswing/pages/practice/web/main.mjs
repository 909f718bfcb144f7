/** The page at work: the tune's data, the boards, the stage, the controls and the band. */

import { makeBoards } from "./boards.mjs";
import { firstChoice, playingWords, touched } from "./choices.mjs";
import { makeClock, unswung } from "./clock.mjs";
import { makeControls } from "./controls.mjs";
import { byId } from "./dom.mjs";
import { makeFollower } from "./follow.mjs";
import { makePlayer } from "./player.mjs";
import { loadSounds } from "./sounds.mjs";
import { makeStage, slotAt, strokesBetween } from "./stage.mjs";

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
  { lights: byId("lights"), now: byId("now"), next: byId("next"), strum: byId("strum"), pick: byId("pick") },
  tune, gallery,
);
const follow = makeFollower(stillness);
const boards = makeBoards(byId("boards"), tune, touchPlank);

let context = null;
let player = null;
let planned = [];
let shownBar = null;
let wake = null;
let tuningUp = false;
let followed = null;
let lineString = tune.line;

const controls = makeControls(
  tune, choice,
  clock.quarterBpm(0, 1) / tune.felt,
  () => clock.ratioAt(shownBar ? shownBar.start : 0, { speed: choice.speed, ratio: null }),
  {
    feel: () => {},
    levels: applyLevels,
    replan: () => player && player.replan(),
    lane: () => {
      if (player && player.playing) shownBar = null;
      else showStart();
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
  if (player && player.playing) player.replan();
  else showStart();
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
  else showStart();
}

/** Show a bar on the stage as it is `at` beats into it, and what comes `after` it. */
function showBar(bar, at, after) {
  const slots = lane().slots[bar.place];
  const slot = slotAt(slots, at);
  const later = slots[slots.indexOf(slot) + 1];
  stage.hang(bar.beats);
  stage.showGrips(slot, later || (after && lane().slots[after.place][0]) || null);
  if (bar !== shownBar) {
    const end = bar.start + bar.beats;
    stage.showStrokes(strokesBetween(strokes.get(choice.lane), bar.start, end), bar.start, bar.beats);
  }
  shownBar = bar;
}

/** Show the bar that Play begins with. */
function showStart() {
  const bar = firstBar();
  const next = choice.to === bar.place ? bar : tune.bars.find((other) => other.place === bar.place + 1);
  shownBar = null;
  showBar(bar, 0, next);
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
  say(turnWords(beat));
  document.body.classList.toggle("answering", beat.span.turn === "answer");
  if (!beat.bar) {
    const bar = tune.bars.find((other) => Math.abs(other.start - beat.span.end) < 1e-6);
    showBar(bar, 0, tune.bars[tune.bars.indexOf(bar) + 1]);
    const inside = beat.from - beat.span.start;
    stage.light(Math.floor((inside % bar.beats) / tune.unit + 1e-6));
    boards.showPlaying(null, 0);
    keepInView(bar.place);
    return;
  }
  const at = written - beat.bar.start;
  showBar(beat.bar, at, beat.after);
  stage.light(Math.floor(at / tune.unit + 1e-6));
  stage.playStroke(written);
  boards.showPlaying(beat.bar.place, at);
  if (!stillness.matches) stage.movePick(at, beat.bar.beats);
  keepInView(beat.bar.place);
}

function keepInView(place) {
  if (place !== followed) follow(boards.plank(place));
  followed = place;
}

/** Say whose turn it is, once: a screen reader reads every change. */
function say(words) {
  if (byId("turn").textContent !== words) byId("turn").textContent = words;
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
  say("");
  stage.light(-1);
  boards.showPlaying(null, 0);
  planned = [];
  followed = null;
  if (wake) wake.release();
  wake = null;
}

/** Keep the screen awake while the band plays, where the browser can. */
async function stayAwake() {
  try {
    wake = await navigator.wakeLock.request("screen");
  } catch {
    wake = null; // an older browser, or a phone that saves its battery
  }
}

function halt() {
  player.stop();
  showStopped();
}

async function play() {
  if (player && player.playing) {
    halt();
    return;
  }
  if (tuningUp) return;
  tuningUp = true;
  try {
    if (!context) {
      context = new AudioContext();
      context.addEventListener("statechange", () => {
        if (context.state !== "running" && player && player.playing) halt();
      });
    }
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
    stayAwake();
  } catch (error) {
    byId("play-words").textContent = "Play";
    say(`This browser could not make the sound: ${error.message}`);
  } finally {
    tuningUp = false;
  }
}

function keys(event) {
  const busy = event.target.closest("button, input, select, textarea");
  if (event.key === " " && !busy) {
    event.preventDefault();
    play();
  }
  if (event.key === "Escape" && !controls.closeSetup()) clearLoop();
}

byId("legend").textContent = tune.lanes.length > 1
  ? "Large: the swing lane. Small, below it: the plain lane." : "";
byId("play").addEventListener("click", play);
byId("clear").addEventListener("click", clearLoop);
document.addEventListener("keydown", keys);
document.addEventListener("visibilitychange", () => {
  if (!document.hidden && player && player.playing) stayAwake();
});
boards.showLine(lane(), lineString);
showLoop();
showStart();
