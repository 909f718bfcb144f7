/** The bench at work: text, boards, tray, drawers and band held together. */

import { makeBand } from "./band.mjs";
import { makeBank } from "./bank.mjs";
import { makeBoards } from "./boards.mjs";
import { byId, make, settled } from "./dom.mjs";
import { listenToKeys } from "./keys.mjs";
import { makeLink } from "./link.mjs";
import { makeDoor } from "./door.mjs";
import { drawer, keyList, lessonSheet, partLevels, patternLists, workCurve } from "./panels.mjs";
import { makeRail } from "./rail.mjs";
import { makeSaving } from "./saving.mjs";
import { makeStrum } from "./strum.mjs";
import { makeText } from "./editor/text.mjs";
import { makeTray } from "./tray.mjs";

const LOOK_MS = 40;
const HEAR_MS = 250;
const DOUBTS_MS = 700;
const SLOW_MS = 2500;
const NOTE_MS = 5000;
const PARTS = ["chords", "bass", "drums", "count"];

const controls = { lane: "swing", depth: 2 };
const levels = new Map();
const bank = makeBank();
let words = null;
let groups = [];
let seen = null;
let heard = null; // {text, controls, tune}
let loop = { from: null, to: null };
let errors = [];
let doubts = [];
let sheet = null;

const link = makeLink({ onOpen: hello, onEvent: told, onAway: () => saving.away() });
const ask = (what, given) => link.ask(what, given);

const text = makeText(byId("text"), document.querySelector("meta[name=style-nonce]").content, {
  onChange: edited, onCursor: cursorMoved,
});
const saving = makeSaving({ ask, text, onTaken: () => lookSoon(), notices: byId("notices"), line: byId("saved") });
const band = makeBand(bank, { onBeat: drawBeat, onStop: stopped, onStart: started });
const boards = makeBoards(byId("boards"), { onChord: touchChord, onNumber: touchNumber });
const tray = makeTray(byId("tray"), {
  ask, band, bank, say, onTake: taken, onClose: () => { band.stop(); boards.focusPicked(); },
  state: {
    lane: () => controls.lane,
    asked,
    onDrawn: () => document.querySelector(".chord.picked")?.scrollIntoView({ block: "nearest" }),
    barNumber: (section, bar) => (boards.placeOf(section, bar) ?? 0) + 1,
  },
});
const door = makeDoor({
  say,
  open: async (kind, name) => {
    await saving.flush();
    await enter(await ask("open", { kind, name }));
  },
});
const rail = makeRail(controls, {
  onControl: (name) => {
    if (name === "lane") laneTurned();
    else if (name === "tempo" || name === "swing") hearSoon();
    lookSoon();
  },
  onKeep: keepControls,
});

const work = drawer("The hand's work", "where it is hard, and the shapes", (body) => seen && workCurve(body, seen, mendMove));
const keys = drawer("Other keys", "how well the tune lies in each", fillKeys);
const players = drawer("The band", "parts softer or out, patterns to try", fillBand);
const strumDrawer = drawer("The strum", "stroke by stroke", (body) => strum.show(currentStrum(), body));
const strum = makeStrum(strumDrawer.body, { ask, onSaved: strumSaved, say });
const lesson = drawer("Make the lesson", "what the student takes home", (body) => {
  if (seen) sheet = lessonSheet(body, groups, seen, (order) => ask("make", { ...order, ...asked() }));
});
byId("panels").append(work.box, keys.box, players.box, strumDrawer.box, lesson.box);

function asked() {
  return { text: text.text, controls: { ...controls } };
}

function say(message) {
  byId("said").textContent = message;
  for (const old of byId("notices").querySelectorAll(".note")) if (old.textContent === message) old.remove();
  const note = make("p", { class: "note" }, message);
  byId("notices").append(note);
  setTimeout(() => note.remove(), NOTE_MS);
}

/* The door: which tune */

async function hello() {
  const answer = await ask("hello", {});
  document.body.classList.remove("waiting");
  if (answer.text === undefined) door.show(answer);
  else if (!groups.length) await enter(answer);
  else saving.back(answer);
}

async function enter(answer) {
  door.hide();
  groups = answer.groups;
  heard = null;
  loop = { from: null, to: null };
  for (const name of ["key", "tempo", "swing", "strum", "bass", "drums"]) delete controls[name];
  text.take(answer.text, { isFirst: true });
  saving.begin(answer);
  look();
  if (!words) {
    words = await ask("words", {});
    text.learn(words);
  }
}

/* Text to boards */

const lookSoon = settled(look, LOOK_MS);
const hearSoon = settled(hear, HEAR_MS);
const doubtsSoon = settled(askDoubts, DOUBTS_MS);
let editedAt = null;

function edited() {
  editedAt = performance.now();
  hearSoon.cancel(); // the boards come first
  doubtsSoon.cancel();
  saving.changed();
  lookSoon();
}

async function look() {
  const own = asked();
  const since = editedAt;
  const slow = setTimeout(() => say("This tune is long: the bars take a while."), SLOW_MS);
  let answer;
  try {
    answer = await ask("look", own);
    clearTimeout(slow);
  } catch (error) {
    clearTimeout(slow);
    text.showProblems([], []);
    boards.dim(true);
    say(error.message);
    return;
  }
  if (answer.stale || own.text !== text.text) return;
  errors = answer.errors;
  if (errors.length) {
    doubts = [];
    boards.dim(true);
  } else {
    seen = answer;
    boards.dim(false);
    showSeen();
    if (since !== null && since === editedAt) {
      window.dispatchEvent(new CustomEvent("porchswing:drawn", { detail: { ms: performance.now() - since } }));
      editedAt = null;
    }
    doubtsSoon();
    hearSoon();
  }
  text.showProblems(errors, doubts);
}

function showSeen() {
  byId("title").textContent = seen.title;
  document.title = `${seen.title} – the bench`;
  byId("about").textContent = `key of ${seen.key} · ${seen.meter} · ${seen.bars.length} bars`;
  boards.show(seen, controls.lane);
  boards.showLoop(loop.from, loop.to);
  rail.show(seen);
  const pick = byId("line");
  const chosen = pick.value;
  pick.replaceChildren(make("option", { value: "" }, "none"),
    ...seen.strings.map((name, index) => make("option", { value: index }, name)));
  pick.value = chosen;
  for (const each of [work]) each.refresh();
  for (const [lane, trouble] of Object.entries(seen.trouble)) if (lane === controls.lane) say(trouble);
}

async function askDoubts() {
  const own = text.text;
  try {
    const answer = await ask("doubts", { text: own });
    if (answer.stale || own !== text.text) return;
    errors = answer.errors;
    doubts = answer.doubts;
    text.showProblems(errors, doubts);
  } catch { /* the next look says it */ }
}

/* Hearing the tune */

async function hear() {
  const own = asked();
  try {
    const answer = await ask("hear", own);
    if (answer.stale) return null;
    await bank.need(answer.sounds);
    heard = { ...own, tune: answer.tune };
    if (band.playing && !tray.isOpen) band.follow(heard.tune, { lane: controls.lane, ...loopOf() });
    return heard.tune;
  } catch (error) {
    if (!errors.length && !error.isText) say(error.message);
    return null;
  }
}

function isCurrent() {
  const own = asked();
  const same = ["depth", "tempo", "swing", "key", "strum", "bass", "drums"].every((name) => (
    heard && heard.controls[name] === own.controls[name]));
  return heard !== null && heard.text === own.text && same;
}

function loopOf() {
  return loop.to === null ? { from: null, to: null } : loop;
}

async function play(pressed = null) {
  if (band.playing) {
    band.stop();
    return;
  }
  band.ready();
  hearSoon.cancel();
  const tune = isCurrent() ? heard.tune : await hear();
  if (!tune) return;
  const isFromStart = loop.from === null || loop.from === 0;
  band.play(tune, { lane: laneHeard(tune), start: loop.from ?? 0, countIn: isFromStart ? "once" : "none", ...loopOf() }, pressed);
}

function laneHeard(tune) {
  const names = tune.lanes.map((lane) => lane.name);
  return names.includes(controls.lane) ? controls.lane : names[0];
}

function started() {
  document.body.classList.add("sounding");
  byId("play-words").textContent = "Stop";
}

function stopped() {
  document.body.classList.remove("sounding");
  byId("play-words").textContent = "Play";
  boards.showSounding(null, 0);
}

function drawBeat(beat, written) {
  if (!beat.bar) return;
  const isTune = band.tune === (heard && heard.tune);
  const place = isTune ? beat.bar.place : boards.placeOf(beat.bar.section, beat.bar.bar);
  boards.showSounding(place, written - beat.bar.start);
}

function laneTurned() {
  if (band.playing && !tray.isOpen && heard && heard.tune.lanes.some((lane) => lane.name === controls.lane)) {
    band.setLane(controls.lane);
  }
  if (seen) boards.show(seen, controls.lane);
  if (tray.isOpen) tray.close();
}

function touchNumber(place) {
  if (loop.from === null || loop.to !== null || place === loop.from) {
    loop = place === loop.from && loop.to === null ? { from: null, to: null } : { from: place, to: null };
  } else loop = { from: Math.min(loop.from, place), to: Math.max(loop.from, place) };
  boards.showLoop(loop.from, loop.to);
  byId("loop-off").hidden = loop.from === null;
  if (band.playing && !tray.isOpen && heard) {
    if (loop.to === null && loop.from !== null) band.play(heard.tune, { lane: laneHeard(heard.tune), start: loop.from });
    else band.setLoop(loopOf().from, loopOf().to);
  }
}

/* Chords, offers, choices */

function touchChord(place) {
  if (band.playing) band.stop();
  band.ready();
  if (controls.key) {
    say(`Choices are written in the chart's own key; touch ${seen.key} under Other keys, or write the chart in it.`);
    return;
  }
  tray.open(place).then(tray.focus);
}

async function taken({ place, kind, number, offer }) {
  try {
    const answer = await ask("choose", { ...asked(), place, kind, number });
    text.edit(answer.edits);
    if (answer.new_lane) say(`The swing lane of ${answer.new_lane} is written now; depth no longer acts there.`);
    else say(`Written: ${offer.bars.length ? offer.bars[0][1].join(" ") : offer.name}`);
    tray.close();
  } catch (error) {
    say(error.message);
  }
}

function mendMove(row) {
  boards.open(row.section, row.bar, row.beat);
  tray.open([row.section, row.bar, Math.floor(row.beat)], "grip").then(tray.focus);
}

/* Text and boards follow each other */

function cursorMoved(at) {
  if (!seen || text.text.length < at) return;
  for (const [name, spans] of Object.entries(seen.spans)) {
    const index = spans.findIndex(([from, to]) => at >= from && at <= to);
    if (index >= 0) {
      boards.pickBar(name.slice(0, name.lastIndexOf(" ")), index + 1);
      text.showBar(null);
      return;
    }
  }
}

byId("boards").addEventListener("picked", ({ detail: { section, bar } }) => {
  const own = seen.spans[`${section} ${controls.lane}`];
  const spans = own && own.length ? own : seen.spans[`${section} plain`];
  if (spans && spans[bar - 1]) text.showBar(spans[bar - 1]);
});

/* Drawers */

async function fillKeys(body) {
  body.replaceChildren(make("p", {}, "Trying every key…"));
  try {
    const answer = await ask("keys", { ...asked(), controls: { ...controls, key: null } });
    const draw = () => keyList(body, answer.keys, controls.key, {
      onHear: (key) => {
        controls.key = key === writtenKey() ? null : key;
        draw();
        lookSoon();
        hearSoon();
      },
      onWrite: async (key) => {
        const made = await ask("transpose", { text: text.text, key });
        controls.key = null;
        text.take(made.text);
        edited();
        keys.refresh();
      },
    });
    draw();
  } catch (error) {
    body.replaceChildren(make("p", {}, error.message));
  }
}

function writtenKey() {
  const found = /^\s*key\s*:\s*(.*?)\s*$/im.exec(text.text);
  return found ? found[1] : "C";
}

function fillBand(body) {
  if (!seen || !words) return;
  partLevels(body, PARTS, levels, (part, level) => band.setLevel(part, level));
  patternLists(body, words, seen.meter, controls, (kind, name) => {
    if (name) controls[kind] = name;
    else delete controls[kind];
    rail.changed();
    strumDrawer.refresh();
    lookSoon();
    hearSoon();
  });
}

function currentStrum() {
  const said = /^\s*strum\s*:\s*(\S+)/im.exec(text.text);
  const usual = { "4/4": "four", "3/4": "waltz", "2/4": "two_beat", "6/8": "six_eight" };
  return controls.strum || (said && said[1]) || (seen && usual[seen.meter]) || "four";
}

async function strumSaved(name) {
  controls.strum = name;
  rail.changed();
  heard = null;
  hearSoon();
  words = await ask("words", {});
  text.learn(words);
  players.refresh();
}

async function keepControls() {
  const lines = {};
  if (controls.tempo) lines.tempo = String(controls.tempo);
  if (controls.swing) lines.swing = String(controls.swing);
  for (const kind of ["strum", "bass", "drums"]) if (controls[kind]) lines[kind] = controls[kind];
  try {
    const { edits } = await ask("header", { text: text.text, lines });
    text.edit(edits);
    for (const name of ["tempo", "swing", "strum", "bass", "drums"]) delete controls[name];
    rail.changed();
    lookSoon();
  } catch (error) {
    say(error.message);
  }
}

function told(message) {
  if (message.event === "progress" && sheet) sheet.progress(message.share);
  else saving.told(message);
}

/* Keys and buttons */

byId("play").addEventListener("click", (event) => { if (tray.isOpen) tray.close(); play(event.timeStamp); });
byId("another").addEventListener("click", async () => {
  if (tray.isOpen) tray.close();
  band.stop();
  try {
    door.show(await ask("charts"));
  } catch (error) {
    say(error.message);
  }
});
byId("undo").addEventListener("click", text.undo);
byId("redo").addEventListener("click", text.redo);
byId("loop-off").addEventListener("click", () => {
  loop = { from: null, to: null };
  boards.showLoop(null, null);
  byId("loop-off").hidden = true;
  band.setLoop(null, null);
});
byId("show-grips").addEventListener("change", (event) => boards.setGrips(event.target.checked));
byId("line").addEventListener("change", (event) => boards.setString(event.target.value === "" ? null : Number(event.target.value)));
byId("hint-off").addEventListener("click", () => {
  byId("hint").hidden = true;
  try { localStorage.setItem("porchswing-bench-hint", "seen"); } catch { /* it comes again */ }
});
try { byId("hint").hidden = localStorage.getItem("porchswing-bench-hint") === "seen"; } catch { /* shown */ }

for (const [id, shown] of [["show-text", "text"], ["show-boards", "boards"]]) {
  byId(id).addEventListener("click", () => {
    document.body.dataset.half = shown;
    byId("show-text").setAttribute("aria-pressed", String(shown === "text"));
    byId("show-boards").setAttribute("aria-pressed", String(shown === "boards"));
  });
}

listenToKeys({
  tray,
  band,
  undo: text.undo,
  redo: text.redo,
  play,
  turnLane: () => byId("lane").click(),
});
