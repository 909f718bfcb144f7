/**
 * The stage: lights that count the beats, the grip now and the grip next, the strumming hand.
 */

import { make } from "./dom.mjs";

const SIGNS = { down: "↓", up: "↑" };
const KIND_SIGNS = { chuck: "✕", roll: "≀", tremolo: "≋", pinch: "•", slur: "⌒" };
const KIND_WORDS = { chuck: "damped", roll: "roll", tremolo: "tremolo", pinch: "pinch", slur: "slur", ghost: "ghost" };

/** The sign and the words of a stroke. */
export function strokeSign({ direction, kind }) {
  const sign = KIND_SIGNS[kind] || SIGNS[direction];
  const words = kind === "strum" ? direction : `${KIND_WORDS[kind] || kind} ${direction}`;
  return { sign, words };
}

/** The slot of a bar that sounds `at` beats into it. */
export function slotAt(slots, at) {
  let found = slots[0];
  for (const slot of slots) if (slot.at <= at + 1e-6) found = slot;
  return found;
}

/** The strokes from beat `start` up to `end`. */
export function strokesBetween(strokes, start, end) {
  return strokes.filter((stroke) => stroke.beat >= start - 1e-6 && stroke.beat < end - 1e-6);
}

/** Build the stage from its elements; `grips` maps a grip's number to its drawn diagram. */
export function makeStage(elements, tune, grips) {
  const { lights, now, next, strum, pick } = elements;
  const unit = tune.unit;

  /** Hang one light for each counted beat of a bar. */
  function hang(beats) {
    const count = Math.max(1, Math.round(beats / unit));
    if (lights.children.length === count) return;
    lights.replaceChildren();
    for (let index = 0; index < count; index += 1) {
      const light = make("li", { class: "light" }, String(index + 1));
      const across = (index + 0.5) / count;
      light.style.setProperty("--hang", `${Math.round(4 * across * (1 - across) * 16)}px`);
      lights.append(light);
    }
  }

  function light(index) {
    [...lights.children].forEach((item, place) => item.classList.toggle("lit", place === index));
  }

  function hold(figure, slot, note) {
    const key = slot ? `${slot.text}|${slot.grip}|${note}` : note;
    if (figure.dataset.key === key) return;
    figure.dataset.key = key;
    const name = figure.querySelector(".name");
    const frets = figure.querySelector(".frets");
    const drawing = figure.querySelector(".drawing");
    name.textContent = slot ? slot.text : "–";
    name.classList.toggle("long", name.textContent.length > 5);
    frets.textContent = slot && slot.grip !== null ? tune.grips[slot.grip].frets : note;
    const diagram = slot && slot.grip !== null ? grips.get(slot.grip) : null;
    drawing.replaceChildren(...(diagram ? [diagram.cloneNode(true)] : []));
  }

  /** Show the chord sounding and the one that follows. */
  function showGrips(slot, following) {
    hold(now, slot, slot ? "rest" : "");
    hold(next, following, following ? "rest" : "the end");
  }

  /** Lay out the strokes of a bar that lasts `beats` from `start`. */
  function showStrokes(strokes, start, beats) {
    strum.replaceChildren();
    const count = Math.max(1, Math.round(beats / unit));
    for (let index = 0; index < count; index += 1) {
      const tick = make("li", { class: "count" }, String(index + 1));
      tick.style.left = `${(index / count) * 100}%`;
      strum.append(tick);
    }
    for (const stroke of strokes) {
      const { sign, words } = strokeSign(stroke);
      const item = make(
        "li", { class: `stroke ${stroke.kind} ${stroke.direction}`, "data-beat": stroke.beat },
        make("span", { "aria-hidden": "true" }, sign), make("span", { class: "unseen" }, words),
      );
      item.style.left = `${((stroke.beat - start) / beats) * 100}%`;
      strum.append(item);
    }
  }

  /** Mark the latest stroke at or before a beat. */
  function playStroke(beat) {
    let latest = null;
    for (const item of strum.querySelectorAll(".stroke")) {
      item.classList.remove("played");
      if (Number(item.dataset.beat) <= beat + 1e-6) latest = item;
    }
    if (latest) latest.classList.add("played");
  }

  /** Move the hand along the bar; it passes the strings down on the beat, up on the off-beat. */
  function movePick(at, beats) {
    pick.style.left = `${(at / beats) * 100}%`;
    pick.style.top = `${0.3 * Math.sin(2 * Math.PI * at) - 0.45}rem`;
  }

  return { hang, light, showGrips, showStrokes, playStroke, movePick };
}
