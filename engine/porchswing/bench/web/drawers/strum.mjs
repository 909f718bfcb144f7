/** A strum as beats with arrows: touch a cell, then a stroke; it is heard and saved at once. */

import { make } from "../dom.mjs";

const STROKES = [
  ["D", "↓", "down"], ["U", "↑", "up"], ["d", "↓", "light down"], ["u", "↑", "light up"],
  ["x", "×", "chuck"], ["R", "≀", "roll"], ["-", "—", "rest"], [".", "·", "ring on"],
];
const WORDS = new Map(STROKES.map(([sign, , words]) => [sign, words]));
const ARROWS = new Map(STROKES.map(([sign, arrow]) => [sign, arrow]));

/** What a cell says: its stroke, its strings, whether it is accented. */
export function read(cell) {
  const [, sign, rest] = /^([A-Za-z.-]?)(.*)$/.exec(cell);
  return { sign, rest: rest.replace(">", "").replace("!", ""), accent: rest.includes(">") };
}

/** A cell with another stroke; an up-stroke on a beat is meant. */
export function write({ sign, rest, accent }, count) {
  if (sign === "." || sign === "-") return sign;
  const isBeat = /^\d+$/.test(count);
  return sign + rest + (accent ? ">" : "") + ((sign === "U" || sign === "u") && isBeat ? "!" : "");
}

export function makeStrum(body, { ask, onSaved, say }) {
  let grid = null;
  let picked = [0, 0];
  let name = "";

  async function show(newName) {
    if (!newName) {
      body.replaceChildren(make("p", {}, "Choose a strum pattern under The band first."));
      return;
    }
    try {
      grid = await ask("strum", { name: newName });
    } catch (error) {
      body.replaceChildren(make("p", {}, error.message));
      return;
    }
    name = grid.name.startsWith("my_") ? grid.name : `my_${grid.name}`;
    picked = [0, 0];
    draw();
  }

  function draw() {
    const field = make("input", { type: "text", value: name, maxlength: 40, autocomplete: "off",
      onchange: (event) => { name = event.target.value.trim() || name; } });
    body.replaceChildren(
      make("p", {}, `${grid.title}. ${grid.when}`),
      make("label", { class: "fields" }, "Saved as your own pattern ", field),
      ...grid.bars.map(bar),
      make("div", { class: "strokes", role: "group", "aria-label": "Stroke for the touched cell" },
        ...STROKES.map(([sign, arrow, words]) => make("button", { type: "button", onclick: () => put({ sign }) },
          make("b", { "aria-hidden": "true", class: sign === "d" || sign === "u" ? "light" : "" }, arrow), ` ${words}`)),
        make("button", { type: "button", onclick: () => put({ accent: !current().accent }) }, make("b", { "aria-hidden": "true" }, ">"), " accent")),
    );
    mark();
  }

  function bar(own, number) {
    return make("div", { class: "strum-bar" }, make("span", { class: "where" }, own.place),
      make("div", { class: "cells", role: "group", "aria-label": `${own.place} bar` },
        ...own.count.map((count, cell) => {
          const { sign, rest, accent } = read(own.hand[cell]);
          const words = sign ? WORDS.get(sign) || sign : `pluck ${rest}`;
          return make("button", {
            type: "button", class: accent ? "cell accent" : "cell", "data-cell": `${number} ${cell}`,
            "aria-label": `${count}: ${words}${accent ? ", accented" : ""}`,
            onclick: () => { picked = [number, cell]; mark(); },
            onkeydown: (event) => keys(event, number, cell),
          }, make("b", { class: sign === "d" || sign === "u" ? "light" : "" }, ARROWS.get(sign) || sign || rest), make("small", {}, count));
        })));
  }

  function keys(event, number, cell) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const sign = STROKES.find(([own]) => own === event.key);
    if (step) {
      const to = body.querySelector(`[data-cell="${number} ${cell + step}"]`);
      if (to) { to.focus(); picked = [number, cell + step]; mark(); }
    } else if (sign || event.key === ">") {
      picked = [number, cell];
      put(sign ? { sign: sign[0] } : { accent: !current().accent });
    } else return;
    event.preventDefault();
  }

  function current() {
    return read(grid.bars[picked[0]].hand[picked[1]]);
  }

  function mark() {
    body.querySelectorAll(".cell").forEach((cell) => (
      cell.setAttribute("aria-pressed", String(cell.dataset.cell === picked.join(" ")))));
  }

  async function put(change) {
    const [number, cell] = picked;
    const own = grid.bars[number];
    const before = own.hand[cell];
    own.hand[cell] = write({ ...current(), ...change, ...(change.sign && !current().sign ? { rest: "" } : {}) }, own.count[cell]);
    const had = body.contains(document.activeElement);
    draw();
    if (had) body.querySelector(`[data-cell="${number} ${cell}"]`).focus();
    try {
      const saved = await ask("save strum", { name, grid });
      onSaved(saved.name);
      say(`Saved as ${saved.path}`);
    } catch (error) {
      own.hand[cell] = before;
      draw();
      say(error.message);
    }
  }

  return { show };
}
