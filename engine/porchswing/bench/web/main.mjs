/** The bench at work: text, boards, tray, drawers and band held together. */

import { makeBank } from "./hearing/bank.mjs";
import { makeHearing } from "./hearing/hearing.mjs";
import { makeBoards } from "./boards.mjs";
import { byId, make } from "./dom.mjs";
import { makeDoor } from "./door.mjs";
import { makeDrawers } from "./drawers/drawers.mjs";
import { listenToKeys } from "./keys.mjs";
import { makeLink } from "./link.mjs";
import { makeLooking } from "./looking.mjs";
import { makeRail } from "./rail.mjs";
import { makeSaving } from "./saving.mjs";
import { makeText } from "./editor/text.mjs";
import { makeTray } from "./tray.mjs";

const NOTE_MS = 5000;
const PATTERN_LINES = ["strum", "bass", "drums"];
const KEPT_LINES = ["tempo", "swing", ...PATTERN_LINES];

const controls = { lane: "swing", depth: 2 };
if (location.hash === "#left-handed") controls.left_handed = true;
const bank = makeBank();
let hasWords = false;
let isOpen = false;

const link = makeLink({ onOpen: hello, onEvent: told, onAway: () => saving.away() });
const ask = (what, given) => link.ask(what, given);

const text = makeText(byId("text"), document.querySelector("meta[name=style-nonce]").content, {
  onChange: edited, onCursor: cursorMoved,
});
const saving = makeSaving({
  ask, text, onTaken: () => looking.soon(), notices: byId("notices"), line: byId("saved"),
});
const boards = makeBoards(byId("boards"), {
  onChord: touchChord, onNumber: (place) => hearing.touchNumber(place),
});
const hearing = makeHearing({
  ask, asked, bank, boards, controls, isTrayOpen: () => tray.isOpen,
  onTrouble: (error) => { if (!looking.isWrong && !error.isText) say(error.message); },
});
const { band } = hearing;
const looking = makeLooking({
  ask, asked, text, boards, controls, say, onSettled: hearing.soon,
  onSeen: (seen) => {
    hearing.showLoop();
    rail.show(seen);
    drawers.seenAnew();
  },
});
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
    else if (name === "tempo" || name === "swing") hearing.soon();
    looking.soon();
  },
  onKeep: keepControls,
});
const drawers = makeDrawers(byId("panels"), {
  ask, asked, text, controls, band, say,
  seen: () => looking.seen,
  onMend: mendMove,
  onChange: controlChanged,
  onStrum: strumSaved,
  onWrite: (newText) => { text.take(newText); edited(); },
});

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

/** Edit the text that was asked about; one that has changed since stays as it is. */
function editSame(before, edits) {
  if (before !== text.text) {
    say("The text has changed meanwhile, and nothing was written: do it again.");
    return false;
  }
  text.edit(edits);
  return true;
}

/* The door: which tune */

async function hello() {
  const answer = await ask("hello", {});
  document.body.classList.remove("waiting");
  if (answer.text === undefined) door.show(answer);
  else if (!isOpen) await enter(answer);
  else saving.back(answer);
}

async function enter(answer) {
  door.hide();
  isOpen = true;
  drawers.setGroups(answer.groups);
  hearing.begin();
  for (const name of ["key", ...KEPT_LINES]) delete controls[name];
  text.take(answer.text, { isFirst: true });
  saving.begin(answer);
  looking.look();
  if (!hasWords) await learnWords();
}

async function learnWords() {
  const words = await ask("words", {});
  hasWords = true;
  text.learn(words);
  drawers.learn(words);
}

/* The text and the controls */

function edited() {
  hearing.soon.cancel(); // the boards come first
  saving.changed();
  looking.edited();
}

function controlChanged() {
  rail.changed();
  looking.soon();
  hearing.soon();
}

function laneTurned() {
  hearing.laneTurned();
  if (looking.seen) boards.show(looking.seen, controls.lane);
  if (tray.isOpen) tray.close();
}

async function strumSaved(name) {
  controls.strum = name;
  hearing.forget();
  controlChanged();
  await learnWords();
}

async function keepControls() {
  const lines = {};
  if (controls.tempo) lines.tempo = String(controls.tempo);
  if (controls.swing) lines.swing = String(controls.swing);
  for (const kind of PATTERN_LINES) if (controls[kind]) lines[kind] = controls[kind];
  const own = text.text;
  try {
    const { edits } = await ask("header", { text: own, lines });
    if (!editSame(own, edits)) return;
    for (const name of KEPT_LINES) delete controls[name];
    rail.changed();
    looking.soon();
  } catch (error) {
    say(error.message);
  }
}

function told(message) {
  if (message.event === "progress") drawers.progress(message.share);
  else saving.told(message);
}

/* Chords, offers, choices */

function touchChord(place) {
  if (band.playing) band.stop();
  band.ready();
  if (controls.key) {
    say(`Choices are written in the chart's own key; touch ${looking.seen.key} under Other keys, or write the chart in it.`);
    return;
  }
  tray.open(place).then(tray.focus);
}

/** Write an offer into the text; return whether it is written. */
async function taken({ place, kind, number, offer }) {
  const own = asked();
  try {
    const answer = await ask("choose", { ...own, place, kind, number });
    if (!editSame(own.text, answer.edits)) return false;
    if (answer.new_lane) say(`The swing lane of ${answer.new_lane} is written now; depth no longer acts there.`);
    else say(`Written: ${offer.bars.length ? offer.bars[0][1].join(" ") : offer.name}`);
    return true;
  } catch (error) {
    say(error.message);
    return false;
  }
}

function mendMove(row) {
  boards.open(row.section, row.bar, row.beat);
  tray.open([row.section, row.bar, Math.floor(row.beat)], "grip").then(tray.focus);
}

/* Text and boards follow each other */

function cursorMoved(at) {
  if (!looking.seen || text.text.length < at) return;
  for (const [name, spans] of Object.entries(looking.seen.spans)) {
    const index = spans.findIndex(([from, to]) => at >= from && at <= to);
    if (index >= 0) {
      boards.pickBar(name.slice(0, name.lastIndexOf(" ")), index + 1);
      text.showBar(null);
      return;
    }
  }
}

byId("boards").addEventListener("picked", ({ detail: { section, bar } }) => {
  const { spans } = looking.seen;
  const own = spans[`${section} ${controls.lane}`];
  const found = own && own.length ? own : spans[`${section} plain`];
  if (found && found[bar - 1]) text.showBar(found[bar - 1]);
});

/* Buttons */

byId("play").addEventListener("click", (event) => {
  if (tray.isOpen) tray.close();
  hearing.play(event.timeStamp);
});
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
  play: hearing.play,
  turnLane: () => byId("lane").click(),
});
