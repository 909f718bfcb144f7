/**
 * The boards: every bar of the tune as a plank, four to a board, with both lanes on it.
 *
 * A plank is a button: the first touch sets where to start, the second closes a loop.
 */

import { make, makeSvg } from "./dom.mjs";

const BARS_A_BOARD = 4;
const THREAD_TOP = 22;
const THREAD_SPAN = 56;

/** Group shown bars into boards of at most four, a new one with every section. */
export function boardsOf(bars) {
  const boards = [];
  for (const bar of bars) {
    const board = boards[boards.length - 1];
    const last = board && board[board.length - 1];
    const goesOn = last && board.length < BARS_A_BOARD && bar.section === last.section
      && bar.bar === last.bar + 1 && bar.role === last.role;
    if (goesOn) board.push(bar);
    else boards.push([bar]);
  }
  return boards;
}

/**
 * The beads of a chosen string's line on one board, `x` in percent of its width; `joined` tells
 * that the line comes from the bead before, with no rest or muted string between.
 */
export function threadOf(board, lane, stringIndex) {
  const beads = [];
  let joined = false;
  board.forEach((bar, column) => {
    for (const slot of lane.slots[bar.place]) {
      const sounds = slot.grip !== null && slot.frets[stringIndex] !== null;
      if (!sounds) {
        joined = false;
        continue;
      }
      beads.push({
        joined,
        x: ((column + slot.at / bar.beats) / BARS_A_BOARD) * 100,
        pitch: slot.midi[stringIndex],
        fret: slot.frets[stringIndex],
        note: slot.notes[stringIndex],
      });
      joined = true;
    }
  });
  return beads;
}

/** How much room the longest of some chord symbols wants. */
export function widthClass(slots) {
  const longest = Math.max(...slots.map((slot) => slot.text.length));
  if (longest > 8) return " wider";
  return longest > (slots.length > 2 ? 4 : 6) ? " wide" : "";
}

/** The chords of one lane on a plank; the words before them are heard, not seen. */
function chordsOf(lane, place, className) {
  return make(
    "span", { class: className }, make("span", { class: "unseen" }, ` ${lane.name} lane: `),
    ...lane.slots[place].map((slot) => (
      make("span", { class: "chord", "data-at": slot.at }, `${slot.text} `)
    )),
  );
}

function chordsClass(slots) {
  return `chords of-${Math.min(4, slots.length)}${widthClass(slots)}`;
}

/** Build the boards inside `root`; `onTouch(place)` hears of a touched plank. */
export function makeBoards(root, tune, onTouch) {
  const shown = tune.bars.filter((bar) => bar.chorus <= 1 || bar.role === "ending");
  const planks = new Map();
  const threads = [];
  const main = tune.lanes.find((lane) => lane.name === "swing") || tune.lanes[0];
  const other = tune.lanes.find((lane) => lane !== main);
  let section = null;
  let playing = null;
  for (const board of boardsOf(shown)) {
    const row = make("ol", { class: "board" });
    for (const bar of board) {
      const plank = make(
        "button",
        {
          type: "button", class: "plank", tabindex: planks.size ? -1 : 0, "aria-pressed": "false",
          "data-place": bar.place,
        },
        make(
          "span", { class: "number" }, make("span", { class: "unseen" }, "Bar "),
          String(bar.place + 1), make("span", { class: "unseen" }, `, section ${bar.section},`),
        ),
        chordsOf(main, bar.place, chordsClass(main.slots[bar.place])),
        other ? chordsOf(other, bar.place, "plain") : "",
        make("span", { class: "tag" }),
      );
      plank.addEventListener("click", () => onTouch(bar.place));
      planks.set(bar.place, plank);
      row.append(make("li", {}, plank));
    }
    const dense = board.some((bar) => main.slots[bar.place].length > 2) ? " dense" : "";
    const thread = make("div", { class: `thread${dense}`, "aria-hidden": "true" });
    threads.push({ board, thread });
    const name = `${board[0].section} ${board[0].role}`;
    const begins = board[0].bar === 1 || name !== section;
    section = name;
    root.append(make(
      "div", { class: "boardrow" },
      make("span", { class: "section" }, begins ? board[0].section : ""), row, thread,
    ));
  }
  root.addEventListener("keydown", (event) => roam(event, planks));

  /** Show the line of a string (its index in the tuning), or none for null. */
  function showLine(lane, stringIndex) {
    const all = threads.flatMap(({ board }) => (
      stringIndex === null ? [] : threadOf(board, lane, stringIndex)));
    const low = Math.min(...all.map((bead) => bead.pitch));
    const high = Math.max(...all.map((bead) => bead.pitch));
    const yOf = (bead) => THREAD_TOP + THREAD_SPAN * (high === low ? 0.5 : (high - bead.pitch) / (high - low));
    root.classList.toggle("lined", stringIndex !== null);
    for (const { board, thread } of threads) {
      thread.replaceChildren();
      if (stringIndex === null) continue;
      const beads = threadOf(board, lane, stringIndex);
      const path = beads.map((bead) => `${bead.joined ? "L" : "M"}${bead.x} ${yOf(bead)}`).join("");
      thread.append(makeSvg(
        "svg", { viewBox: "0 0 100 100", preserveAspectRatio: "none" },
        makeSvg("path", { d: path, fill: "none", "vector-effect": "non-scaling-stroke" }),
      ));
      for (const bead of beads) {
        const mark = make("span", { class: "bead" }, String(bead.fret), make("small", {}, bead.note));
        mark.style.left = `${bead.x}%`;
        mark.style.top = `${yOf(bead)}%`;
        thread.append(mark);
      }
    }
  }

  /** Mark the bar being played and the chord in it; null for none. */
  function showPlaying(place, at) {
    const plank = planks.get(place) || null;
    if (playing !== null && playing !== plank) {
      playing.classList.remove("playing");
      playing.removeAttribute("aria-current");
      for (const chord of playing.querySelectorAll(".sounding")) chord.classList.remove("sounding");
    }
    playing = plank;
    if (plank === null) return;
    plank.classList.add("playing");
    plank.setAttribute("aria-current", "true");
    for (const group of plank.querySelectorAll(".chords, .plain")) {
      const chords = [...group.querySelectorAll(".chord")];
      const due = chords.filter((chord) => Number(chord.dataset.at) <= at + 1e-6).pop();
      for (const chord of chords) chord.classList.toggle("sounding", chord === due);
    }
  }

  /** Mark the start place and the loop; null for none. */
  function showLoop(from, to) {
    for (const [place, plank] of planks) {
      const inside = to !== null && place >= from && place <= to;
      plank.classList.toggle("looped", inside);
      plank.setAttribute("aria-pressed", String(inside || place === from));
      let tag = "";
      if (place === from) tag = to === null ? "start" : "from";
      if (to !== null && place === to) tag = from === to ? "loop" : "to";
      plank.querySelector(".tag").textContent = tag;
    }
  }

  return { showLine, showPlaying, showLoop, plank: (place) => planks.get(place) };
}

/** Arrow keys, Home and End walk over the planks, so that Tab passes the boards in one step. */
function roam(event, planks) {
  const place = Number(event.target.dataset.place);
  const steps = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: BARS_A_BOARD, ArrowUp: -BARS_A_BOARD };
  let next = null;
  if (event.key in steps) next = place + steps[event.key];
  if (event.key === "Home") next = 0;
  if (event.key === "End") next = planks.size - 1;
  if (next === null || !planks.has(next)) return;
  event.preventDefault();
  planks.get(place).tabIndex = -1;
  planks.get(next).tabIndex = 0;
  planks.get(next).focus();
}
