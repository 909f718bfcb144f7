/**
 * The stage: lights that count the beats, the grip now and the grip next, the strumming hand.
 */

import { makeSvg, make } from "./dom.mjs";

const SIGNS = { down: "↓", up: "↑" };
const KIND_SIGNS = { chuck: "✕", roll: "≀", tremolo: "≋", pinch: "•", slur: "⌒" };
const KIND_WORDS = { chuck: "damped", roll: "roll", tremolo: "tremolo", pinch: "pinch", slur: "slur", ghost: "ghost" };

/** The sign and the words of a stroke. */
export function strokeSign({ direction, kind }) {
  const sign = KIND_SIGNS[kind] || SIGNS[direction];
  const words = kind === "strum" ? direction : `${KIND_WORDS[kind] || kind} ${direction}`;
  return { sign, words };
}

/** The strokes from beat `start` up to `end`. */
export function strokesBetween(strokes, start, end) {
  return strokes.filter((stroke) => stroke.beat >= start - 1e-6 && stroke.beat < end - 1e-6);
}

/** A printed chord symbol from its parts: root, quality, bass, width in half ems. */
export function symbol([root, quality, bass, ems]) {
  const whole = make("span", { class: `chord ems-${ems}` }, make("span", { class: "root" }, root));
  if (quality) whole.append(make("wbr"), make("span", { class: "quality" }, quality));
  if (bass) whole.append(make("wbr"), make("span", { class: "bass" }, bass));
  return whole;
}

/** One sign of the stage: a chord's name, its frets and its diagram. */
function makeSign(figure, tune) {
  const name = figure.querySelector(".name");
  const frets = figure.querySelector(".frets");
  const drawing = figure.querySelector(".drawing");
  let shown = null;

  return function hold(slot, note) {
    const key = slot ? `${slot.name}|${slot.grip}|${slot.said}` : note;
    if (shown === key) return;
    shown = key;
    name.replaceChildren(slot ? symbol(slot.name) : "–");
    const grip = slot && slot.grip !== null ? slot.grip : null;
    frets.textContent = grip === null ? note : tune.grips[grip].frets;
    if (slot?.said) frets.append(" ", make("small", {}, slot.said));
    drawing.replaceChildren();
    if (grip === null) return;
    const box = document.getElementById(`grip-${grip}`).getAttribute("viewBox");
    drawing.append(makeSvg(
      "svg", { viewBox: box, "aria-hidden": "true" }, makeSvg("use", { href: `#grip-${grip}` }),
    ));
  };
}

/** Build the stage from its elements. */
export function makeStage({ lights, now, next, toGo, way, strum, pick }, tune) {
  const { unit } = tune;
  const holdNow = makeSign(now, tune);
  const holdNext = makeSign(next, tune);
  let items = [];
  let played = null;
  let lit = -1;
  let width = 0;

  /** Hang one light for each counted beat of a bar. */
  function hang(beats) {
    const count = Math.max(1, Math.round(beats / unit));
    if (lights.children.length === count) return;
    lights.replaceChildren();
    lit = -1;
    for (let index = 0; index < count; index += 1) {
      const item = make("li", { class: "light" }, String(index + 1));
      const across = (index + 0.5) / count;
      item.style.setProperty("--hang", `${Math.round(4 * across * (1 - across) * 16)}px`);
      lights.append(item);
    }
  }

  /** Light one lamp, or none for -1. */
  function light(index) {
    if (index === lit) return;
    if (lights.children[lit]) lights.children[lit].classList.remove("lit");
    if (lights.children[index]) lights.children[index].classList.add("lit");
    lit = index;
  }

  /** Show the chord sounding and the next different grip (or null), with the way to it. */
  function showGrips(slot, following, words) {
    holdNow(slot, "rest");
    holdNext(following, "no other grip");
    way.textContent = words;
  }

  /** Say how soon the next grip comes. */
  function showToGo(words) {
    if (toGo.textContent !== words) toGo.textContent = words;
  }

  /** Lay out the strokes of a bar that lasts `beats` from `start`. */
  function showStrokes(strokes, start, beats) {
    width = strum.clientWidth; // read before anything changes: no layout is forced in a frame
    strum.replaceChildren();
    items = [];
    played = null;
    const count = Math.max(1, Math.round(beats / unit));
    for (let index = 0; index < count; index += 1) {
      const tick = make("li", { class: "count" }, String(index + 1));
      tick.style.left = `${(index / count) * 100}%`;
      strum.append(tick);
    }
    for (const stroke of strokes) {
      const { sign, words } = strokeSign(stroke);
      const item = make(
        "li", { class: `stroke ${stroke.kind} ${stroke.direction}` },
        make("span", { "aria-hidden": "true" }, sign), make("span", { class: "unseen" }, words),
      );
      item.style.left = `${((stroke.beat - start) / beats) * 100}%`;
      strum.append(item);
      items.push({ beat: stroke.beat, item });
    }
  }

  /** Mark the latest stroke at or before a beat. */
  function playStroke(beat) {
    let latest = null;
    for (const each of items) if (each.beat <= beat + 1e-6) latest = each.item;
    if (latest === played) return;
    if (played) played.classList.remove("played");
    if (latest) latest.classList.add("played");
    played = latest;
  }

  /** Move the hand along the bar; it passes the strings down on the beat, up on the off-beat. */
  function movePick(at, beats) {
    const across = width * (at / beats);
    const along = 4.8 * Math.sin(2 * Math.PI * at);
    pick.style.transform = `translate(${across.toFixed(1)}px, ${along.toFixed(1)}px)`;
  }

  return { hang, light, showGrips, showToGo, showStrokes, playStroke, movePick };
}
