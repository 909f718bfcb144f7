/** The page at work: the tune's data, the boards, the stage, the controls and the band. */

import { makeClock } from "../band/clock.mjs";
import { CHORDS_LEVEL, firstChoice, going, looping, playingWords } from "../choice/choices.mjs";
import { browserStorage, makeMemory, recalled } from "../choice/memory.mjs";
import { readTask, tasked, taskWords } from "../choice/task.mjs";
import { STUDENT_PARTS } from "../band/planner.mjs";
import { makeBoards } from "./boards.mjs";
import { makeControls } from "./controls.mjs";
import { byId } from "./dom.mjs";
import { makeFollower } from "./follow.mjs";
import { listenToKeys } from "./keys.mjs";
import { makeMoment } from "./moment.mjs";
import { makePlayback, offerMediaKeys } from "./playback.mjs";
import { makeStage } from "./stage.mjs";
import { makeStand } from "./stand.mjs";

const CHORDS_ORDER = ["heard", "softer", "mine"];

const tune = JSON.parse(byId("tune").textContent);
const memory = makeMemory(browserStorage(), tune.key);
const remembered = memory.recall();
const choice = recalled(firstChoice(tune), remembered, tune);
const clock = makeClock(tune.clock);
const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
const places = 1 + Math.max(...tune.bars.map((bar) => bar.place));
let lineString = tune.line;
let goal = null;
let task = null;
let loopTouch = null;

const stage = makeStage({
  lights: byId("lights"), now: byId("now"), next: byId("next"), toGo: byId("to-go"), way: byId("way"),
  strum: byId("strum"), pick: byId("pick"),
}, tune);
const boards = makeBoards(byId("boards"), byId("lines"), {
  onTouch: touch, onSection: (from, to) => setLoop(from, to),
});
const moment = makeMoment({
  tune, choice, stage, boards, follow: makeFollower(stillness), says: byId("turn"), stillness,
});
const playback = makePlayback(tune, choice, {
  plan: moment.add,
  unplan: moment.forget,
  end: () => { choice.start = choice.from ?? 0; showStopped(); },
  levels: applyLevels,
  state: moment.warn,
});
const controls = makeControls(
  tune, choice, remembered, clock.quarterBpm(0, 1) / tune.felt,
  () => clock.ratioAt(moment.ratioBeat, { speed: choice.speed, ratio: null }),
  {
    feel: keep,
    count: keep,
    levels: () => { applyLevels(playback.player); keep(); },
    replan: () => { if (playback.playing) playback.player.replan(); keep(); },
    lane: () => { redraw(); boards.showLine(choice.lane, lineString); keep(); },
    line: (string) => { lineString = string; boards.showLine(choice.lane, string); },
  },
);
const stand = makeStand(document.body, byId("leave-stand"), byId("stage"), play);

function keep() {
  memory.keep({ ...choice, levels: controls.levels() });
}

function applyLevels(player) {
  if (!player) return;
  player.setMaster(controls.masterLevel());
  for (const name of controls.parts) {
    const share = STUDENT_PARTS.includes(name) ? CHORDS_LEVEL[choice.chords] : 1;
    player.setLevel(name, controls.levelOf(name) * share);
  }
}

function redraw() {
  if (playback.playing) moment.redraw();
  else moment.showStart();
}

/** Go to a place: at the next bar line while the band plays, else when Play is pressed. */
function goTo(place) {
  Object.assign(choice, going(choice, Math.min(places - 1, Math.max(0, place))));
  goal = playback.playing ? choice.start : null;
  if (playback.playing) playback.player.jump(choice.start);
  showPlaces();
}

function setLoop(one, other) {
  Object.assign(choice, looping(choice, one, other));
  loopTouch = null;
  if (playback.playing) {
    const inside = moment.place >= choice.from && moment.place <= choice.to;
    if (inside) playback.player.replan();
    else goTo(choice.from);
  }
  showPlaces();
}

function clearLoop() {
  Object.assign(choice, { from: null, to: null });
  loopTouch = null;
  if (playback.playing) playback.player.replan();
  showPlaces();
}

/** A touched bar is gone to, or is one end of the loop that is being set. */
function touch(place) {
  if (loopTouch === null) goTo(place);
  else if (loopTouch === "first") {
    loopTouch = place;
    showPlaces();
  } else setLoop(loopTouch, place);
}

function showPlaces() {
  boards.showPlaces(choice, goal);
  let words = playingWords(choice);
  if (loopTouch === "first") words = "Touch the first bar of the loop.";
  else if (loopTouch !== null) words = `From bar ${loopTouch + 1}: touch the last bar.`;
  else if (goal !== null) words = `Bar ${goal + 1} comes with the next bar line.`;
  byId("loop-words").textContent = words;
  byId("loop").setAttribute("aria-pressed", String(loopTouch !== null));
  byId("clear").hidden = choice.from === null && choice.start === 0;
  byId("loop-start").disabled = choice.from === null;
  if (!playback.playing) moment.showStart();
  keep();
}

/** The place that is playing, or the one Play begins with. */
function here() {
  return goal ?? moment.place ?? choice.start;
}

/** Draw the moment that is heard now, as long as the band plays. */
function draw() {
  if (!playback.playing) return;
  requestAnimationFrame(draw);
  moment.draw(playback.heardAt());
  if (goal !== null && moment.place === goal) {
    goal = null;
    showPlaces();
  }
}

function showStopped() {
  document.body.classList.remove("sounding", "answering");
  byId("play-words").textContent = "Play";
  moment.warn("");
  moment.forget();
  goal = null;
  showPlaces();
}

function stop() {
  if (!playback.playing) return;
  choice.start = here();
  playback.stop();
  showStopped();
}

async function play() {
  if (playback.playing) {
    stop();
    return;
  }
  if (document.body.classList.contains("starting")) return;
  byId("play-words").textContent = "Tuning up";
  document.body.classList.add("starting"); // the title goes with the touch, not in the first bar
  try {
    await playback.start();
    document.body.classList.add("sounding");
    byId("play-words").textContent = "Stop";
    requestAnimationFrame(draw);
  } catch (error) {
    byId("play-words").textContent = "Play";
    moment.say(`This browser could not make the sound: ${error.message}`);
  } finally {
    document.body.classList.remove("starting");
  }
}

function nextChords() {
  choice.chords = CHORDS_ORDER[(CHORDS_ORDER.indexOf(choice.chords) + 1) % CHORDS_ORDER.length];
  controls.show();
  applyLevels(playback.player);
  keep();
}

/** Take a task: from the address at once, the lesson's own where nothing is remembered yet. */
function takeTask(found, isNow) {
  task = found;
  byId("task").hidden = task === null;
  if (task === null) return;
  byId("task-words").textContent = taskWords(task);
  if (isNow) startTask();
}

function startTask() {
  if (playback.playing) stop();
  Object.assign(choice, tasked(choice, task));
  applyLevels(playback.player);
  controls.show();
  boards.showLine(choice.lane, lineString);
  showPlaces();
}

function escape() {
  if (stand.shown) stand.show(false);
  else if (!controls.closeSetup()) clearLoop();
}

const deeds = {
  play, escape,
  backBar: () => goTo(here() - 1),
  loopStart: () => goTo(choice.from ?? 0),
  top: () => goTo(0),
  loopFrom: () => setLoop(here(), Math.max(here(), choice.to ?? places - 1)),
  loopTo: () => setLoop(Math.min(here(), choice.from ?? 0), here()),
  faster: () => controls.step(1),
  slower: () => controls.step(-1),
  chords: nextChords,
  stand: stand.toggle,
};
listenToKeys(deeds);
offerMediaKeys(tune, { play: () => { if (!playback.playing) play(); }, stop, back: deeds.backBar });
for (const [id, deed] of [
  ["play", play], ["back-bar", deeds.backBar], ["loop-start", deeds.loopStart], ["top", deeds.top],
  ["open-stand", deeds.stand], ["start-task", startTask],
]) byId(id).addEventListener("click", deed);
byId("clear").addEventListener("click", () => {
  Object.assign(choice, { start: 0 });
  clearLoop();
});
byId("loop").addEventListener("click", () => {
  loopTouch = loopTouch === null ? "first" : null;
  showPlaces();
});
window.addEventListener("hashchange", () => {
  const found = readTask(location.hash, tune);
  if (found) takeTask(found, true);
});
boards.showLine(choice.lane, lineString);
const addressed = readTask(location.hash, tune);
takeTask(addressed || readTask(tune.task, tune), addressed !== null || Object.keys(remembered).length === 0);
showPlaces();
const worker = document.querySelector('meta[name="offline"]').content;
if (worker && navigator.serviceWorker) navigator.serviceWorker.register(worker).catch(() => {});
