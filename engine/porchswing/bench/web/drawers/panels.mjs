/** What is in the drawers under the bars: the hand's work, other keys, the band. */

import { drawing, make, makeSvg } from "../dom.mjs";

/** A drawer that opens at a touch; `fill()` puts its content in when it opens. */
export function drawer(title, words, fill) {
  const body = make("div", { class: "drawer-body" });
  const box = make("details", { class: "drawer" }, make("summary", {}, make("b", {}, title), ` ${words}`), body);
  box.addEventListener("toggle", () => { if (box.open) fill(body); });
  return { box, body, refresh: () => { if (box.open) fill(body); } };
}

/** The curve of the hand's work: what each change needs, against what it has. */
export function workCurve(body, seen, onMend) {
  const rows = seen.work;
  if (!rows.length) {
    body.replaceChildren(make("p", {}, Object.values(seen.trouble)[0] || "The grips never change."));
    return;
  }
  const most = Math.max(...rows.map((row) => Math.max(row.needs, Math.min(row.has, 2 * row.needs))));
  const places = seen.bars.length;
  const art = makeSvg("svg", {
    viewBox: `0 0 ${places * 12} 100`, class: "curve", role: "img", preserveAspectRatio: "none",
    "aria-label": `The hand's work over ${places} bars; the hardest changes are listed below`,
  });
  const y = (ms) => 96 - (Math.min(ms, most) / most) * 90;
  const x = (row) => row.place * 12 + ((row.beat - 1) / seen.units) * 12;
  art.append(makeSvg("polyline", {
    class: "has", points: rows.map((row) => `${x(row)},${y(row.has)}`).join(" "), fill: "none",
    stroke: "currentColor", "stroke-width": 1.5, "stroke-dasharray": "4 3", "vector-effect": "non-scaling-stroke",
  }));
  for (const row of rows) {
    const late = row.needs > row.has;
    const bar = makeSvg("rect", {
      x: x(row), y: y(row.needs), width: 4, height: 96 - y(row.needs), class: late ? "late" : "needs",
    });
    bar.addEventListener("click", () => onMend(row));
    bar.append(makeSvg("title", {}, `bar ${row.place + 1}: ${row.words}`));
    art.append(bar);
  }
  const hardest = [...rows].sort((a, b) => b.needs / b.has - a.needs / a.has).slice(0, 5);
  body.replaceChildren(
    make("p", {}, "Pillars: milliseconds the hand needs. Broken line: what it has. Over the line it comes late."),
    art,
    make("ol", { class: "hardest" }, ...hardest.map((row) => make("li", {},
      make("button", { type: "button", onclick: () => onMend(row) }, `Mend bar ${row.place + 1}`),
      ` ${row.words}. Needs about ${row.needs} ms, has ${row.has} ms${row.needs > row.has ? `; comfortable up to ${row.top}` : ""}.`))),
    make("h3", {}, `${seen.shapes.length} shapes`),
    make("ul", { class: "shapes" }, ...seen.shapes.map((shape) => make("li", {},
      drawing(seen.grips[shape.grip]), make("span", {}, `${shape.times}× at ${shape.frets.join(", ")}`)))),
  );
}

/** The tune in every key, easiest first. */
export function keyList(body, keys, own, { onHear, onWrite }) {
  body.replaceChildren(
    make("p", {}, "The easiest first; the share is the work beside the written key's."),
    make("ul", { class: "keys" }, ...keys.map((row) => make("li", {},
      make("button", {
        type: "button", "aria-pressed": String(row.key === own), disabled: row.share === null,
        onclick: () => onHear(row.key),
      }, row.shown),
      make("span", {}, row.share === null ? row.trouble
        : [` ${Math.round(row.share * 100)} %`, row.trouble].filter(Boolean).join("; "))))),
    make("button", { type: "button", disabled: !own, onclick: () => onWrite(own) },
      own ? `Write the chart in ${own}` : "Touch a key to hear it there"),
  );
}

/** Parts softer or out. */
export function partLevels(body, parts, levels, onLevel) {
  body.replaceChildren(...parts.map((part) => {
    const output = make("output", {}, `${Math.round((levels.get(part) ?? 1) * 100)} %`);
    const dial = make("input", {
      type: "range", min: 0, max: 100, step: 5, value: Math.round((levels.get(part) ?? 1) * 100), "aria-label": `Level of ${part}`,
      oninput: (event) => {
        levels.set(part, Number(event.target.value) / 100);
        output.textContent = `${event.target.value} %`;
        onLevel(part, levels.get(part));
      },
    });
    return make("label", { class: "dial" }, part, " ", output, dial);
  }));
}

/** Patterns tried by touch: one list for each part of the band. */
export function patternLists(body, words, meter, controls, onPattern) {
  body.append(...["strum", "bass", "drums"].map((kind) => {
    const fitting = words.patterns[kind].filter((row) => row.meter === meter);
    const info = make("p", { class: "info" });
    const show = (name) => {
      const row = fitting.find((other) => other.label === name);
      info.textContent = row ? `${row.title}. ${row.info}` : "What the chart says, or the meter's own.";
    };
    const pick = make("select", {
      "aria-label": `${kind} pattern`,
      onchange: (event) => { show(event.target.value); onPattern(kind, event.target.value || null); },
    }, make("option", { value: "" }, "as the chart says"),
    ...fitting.map((row) => make("option", { value: row.label, selected: controls[kind] === row.label }, row.label)));
    show(controls[kind]);
    return make("div", { class: "pattern" }, make("label", {}, `${kind} `, pick), info);
  }));
}
