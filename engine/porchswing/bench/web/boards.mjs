/**
 * The tune as bars on boards: swing over plain, numerals, grips, a string's line.
 *
 * Every chord is a button; the arrow keys go from chord to chord. A bar's number says where to
 * play from.
 */

import { drawing, make, makeSvg } from "./dom.mjs";

const BARS_A_ROW = 4;

/** How wide a letter or a sign of a symbol is in its bold type, in ems, at most on average. */
const EMS_A_SIGN = 0.68;

/** Split bars into rows of at most four, a new one with each section. */
export function rowsOf(bars) {
  const rows = [];
  for (const bar of bars) {
    const row = rows[rows.length - 1];
    const last = row && row[row.length - 1];
    const goesOn = last && row.length < BARS_A_ROW && bar.section === last.section
      && bar.role === last.role && bar.bar > last.bar;
    if (goesOn) row.push(bar);
    else rows.push([bar]);
  }
  return rows;
}

export function makeBoards(root, { onChord, onNumber }) {
  let seen = null;
  let lane = "swing";
  let picked = null;
  let chords = [];
  let showsGrips = false;
  let string = null;
  const bars = new Map();
  let sounding = null;
  let release = null;
  let isReleased = Promise.resolve();

  root.addEventListener("pointerdown", () => {
    if (!release) isReleased = new Promise((resolve) => { release = resolve; });
  });
  for (const ends of ["pointerup", "pointercancel"]) {
    document.addEventListener(ends, () => {
      if (release) setTimeout(release); // a click comes first
      release = null;
    });
  }

  /** Draw what the server saw, keeping the chord that is picked. */
  function show(data, newLane) {
    seen = data;
    lane = newLane;
    const had = root.contains(document.activeElement);
    bars.clear();
    chords = [];
    const boards = [];
    let section = null;
    for (const row of rowsOf(data.bars)) {
      const [first] = row;
      const name = `${first.role} ${first.section}`;
      if (name !== section || first.bar === 1) boards.push(heading(first));
      section = name;
      boards.push(board(row));
    }
    root.replaceChildren(...boards);
    mark();
    if (had) focusPicked();
  }

  function heading(bar) {
    const own = seen.written[bar.section];
    const role = bar.role === "form" ? "" : bar.role;
    return make("h2", { class: "section" }, bar.section,
      make("small", {}, [role, lane === "plain" ? "plain lane" : own ? "swing lane written" : "swing lane made by depth"]
        .filter(Boolean).join(" · ")));
  }

  function board(row) {
    const list = make("ol", { class: "board" }, ...row.map(plank));
    if (string !== null) list.append(thread(row));
    return list;
  }

  function plank(bar) {
    const main = bar[lane];
    const number = make("button", {
      type: "button", class: "number", "aria-label": `Play from bar ${bar.place + 1}, section ${bar.section}`,
      onclick: () => onNumber(bar.place),
    }, String(bar.place + 1));
    const said = bar.settings.length ? make("span", { class: "setting" }, bar.settings.join(" · ")) : "";
    const names = make("span", { class: "chords" }, ...main.map((slot, index) => chord(bar, slot, index)));
    names.style.setProperty("--columns", main.length);
    const plain = lane === "swing" && text(bar.plain) !== text(main)
      ? make("span", { class: "plain" }, make("span", { class: "unseen" }, "plain: "), text(bar.plain)) : "";
    const item = make("li", { class: "plank" }, number, said, names, plain);
    bars.set(bar.place, item);
    return item;
  }

  function text(slots) {
    return slots.map((slot) => slot.text).join("  ");
  }

  function chord(bar, slot, index) {
    const frets = slot.grip === null ? "" : seen.frets[slot.grip];
    const marks = slot.marks.join(", ");
    const button = make("button", {
      type: "button", class: slot.locked ? "chord locked" : "chord", tabindex: -1,
      "data-place": bar.place, "data-at": slot.at,
    },
    symbol(slot.text),
    make("span", { class: "numeral" }, `${slot.numeral} `),
    showsGrips && slot.grip !== null ? drawing(seen.grips[slot.grip]) : make("span", { class: "frets" }, `${frets} `),
    marks ? make("span", { class: "marks" }, `${marks} `) : "",
    make("span", { class: "unseen" }, `${slot.locked ? "locked, " : ""}bar ${bar.place + 1}, beat ${Math.floor(slot.beat)}`));
    const here = { button, bar, slot, index, number: chords.length };
    button.addEventListener("click", (event) => { pick(here); onChord(placeOf(here), event.timeStamp); });
    button.addEventListener("keydown", (event) => move(event, here));
    button.addEventListener("focus", () => pick(here));
    chords.push(here);
    return button;
  }

  /** A symbol that knows its width, so that it is set no larger than its place. */
  function symbol(written) {
    const name = make("b", {}, `${written} `);
    name.style.setProperty("--ems", EMS_A_SIGN * Math.max(2, written.length));
    return name;
  }

  function placeOf({ bar, slot }) {
    return [bar.section, bar.bar, Math.floor(slot.beat)];
  }

  function move(event, here) {
    const row = chords.filter((other) => rowTop(other) === rowTop(here));
    const steps = {
      ArrowRight: () => chords[here.number + 1],
      ArrowLeft: () => chords[here.number - 1],
      ArrowDown: () => near(here, 1),
      ArrowUp: () => near(here, -1),
      Home: () => row[0],
      End: () => row[row.length - 1],
    };
    if (!steps[event.key]) return;
    event.preventDefault();
    const to = steps[event.key]();
    if (to) to.button.focus();
  }

  function rowTop({ button }) {
    return Math.round(button.closest(".board").getBoundingClientRect().top);
  }

  function near(here, way) {
    const box = here.button.getBoundingClientRect();
    const others = chords.filter((other) => (rowTop(other) - rowTop(here)) * way > 4);
    const best = others.map((other) => {
      const its = other.button.getBoundingClientRect();
      return [Math.abs(its.top - box.top) * 4 + Math.abs(its.left - box.left), other];
    }).sort((a, b) => a[0] - b[0])[0];
    return best && best[1];
  }

  function pick(here) {
    picked = { section: here.bar.section, bar: here.bar.bar, index: here.index, place: here.bar.place };
    mark();
    here.button.scrollIntoView({ block: "nearest" });
    root.dispatchEvent(new CustomEvent("picked", { detail: { section: here.bar.section, bar: here.bar.bar } }));
  }

  function current() {
    const same = (other) => picked && other.bar.place === picked.place;
    return chords.find((other) => same(other) && other.index === picked.index)
      || chords.find(same) || chords[0];
  }

  function mark() {
    const here = current();
    for (const { button } of chords) {
      button.tabIndex = here && button === here.button ? 0 : -1;
      button.classList.toggle("picked", Boolean(picked && here && button === here.button));
    }
  }

  function focusPicked() {
    const here = current();
    if (here) here.button.focus({ preventScroll: false });
  }

  /** The notes one string plays along a row, as a thread with a bead for each chord. */
  function thread(row) {
    const beads = [];
    row.forEach((bar, column) => bar[lane].forEach((slot) => {
      const pitch = slot.midi[string];
      if (pitch !== undefined && pitch !== null) {
        beads.push([(column + (slot.at + 0.3) / bar.beats) * 100, pitch]);
      }
    }));
    const pitches = beads.map(([, pitch]) => pitch);
    const low = Math.min(...pitches);
    const span = Math.max(4, Math.max(...pitches) - low);
    const y = (pitch) => 34 - ((pitch - low) / span) * 26;
    const art = makeSvg("svg", {
      class: "thread", viewBox: `0 0 ${BARS_A_ROW * 100} 42`, role: "img", preserveAspectRatio: "none",
      "aria-label": `Line: ${pitches.join(" ")} as MIDI notes`,
    });
    if (beads.length) {
      art.append(makeSvg("polyline", {
        points: beads.map(([x, pitch]) => `${x},${y(pitch)}`).join(" "), fill: "none",
        stroke: "currentColor", "stroke-width": 2, "vector-effect": "non-scaling-stroke",
      }));
      for (const [x, pitch] of beads) {
        art.append(makeSvg("ellipse", { cx: x, cy: y(pitch), rx: 2.2, ry: 4, fill: "currentColor" }));
      }
    }
    return make("li", { class: "thread-row", "aria-hidden": "false" }, art);
  }

  /** Show what sounds: the place and the beats into its bar. */
  function showSounding(place, at) {
    const name = place === null ? null : `${place} ${Math.floor(at * 8)}`;
    if (name === sounding) return;
    sounding = name;
    for (const [own, plank_] of bars) plank_.classList.toggle("sounding", own === place);
    const here = chords.filter((other) => other.bar.place === place && other.slot.at <= at + 1e-6).pop();
    for (const other of chords) other.button.classList.toggle("lit", other === here);
  }

  function showLoop(from, to) {
    for (const [place, plank_] of bars) {
      plank_.classList.toggle("from", place === from);
      plank_.classList.toggle("looped", from !== null && to !== null && place >= from && place <= to);
    }
  }

  return {
    show,
    /** Wait until nothing on the boards is pressed: a chord drawn anew under a finger is not touched. */
    released: () => isReleased,
    showSounding,
    showLoop,
    focusPicked,
    dim: (isOld) => root.classList.toggle("old", isOld),
    setGrips: (wanted) => { showsGrips = wanted; if (seen) show(seen, lane); },
    setString: (index) => { string = index; if (seen) show(seen, lane); },
    /** Pick the chord of a written bar, seen from the text. */
    pickBar: (section, bar) => {
      const here = chords.find((other) => other.bar.section === section && other.bar.bar === bar);
      if (!here) return;
      picked = { section, bar, index: 0, place: here.bar.place };
      mark();
      here.button.scrollIntoView({ block: "nearest" });
    },
    /** Go to a place and open it. */
    open: (section, bar, beat) => {
      const own = chords.filter((other) => other.bar.section === section && other.bar.bar === bar);
      const here = own.filter((other) => Math.floor(other.slot.beat) <= beat).pop() || own[0];
      if (here) { here.button.focus(); here.button.click(); }
    },
    placeOf: (section, bar) => {
      const found = seen && seen.bars.find((other) => other.section === section && other.bar === bar);
      return found ? found.place : null;
    },
  };
}
