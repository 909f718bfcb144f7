/** The door: which tune, of this folder's charts, the demos, or a new one. */

import { byId, make } from "./dom.mjs";

/** Make the door; `open(kind, name)` opens a chart, and what fails is said. */
export function makeDoor({ open, say }) {
  const tried = (kind, name) => open(kind, name).catch((error) => say(error.message));

  function shelf(title, kind, names, none) {
    const buttons = names.map((name) => make("li", {}, make("button", {
      type: "button", onclick: () => tried(kind, name),
    }, name.replace(/\.changes$/, ""))));
    return make("section", {}, make("h3", {}, title), names.length ? make("ul", {}, ...buttons) : make("p", {}, none));
  }

  function newOne() {
    const field = make("input", {
      type: "text", "aria-label": "Name of the new chart", placeholder: "a name", maxlength: 60,
    });
    return make("section", {}, make("h3", {}, "A new one"), make("form", {
      onsubmit: (event) => {
        event.preventDefault();
        tried("new", field.value);
      },
    }, field, make("button", {}, "Begin")));
  }

  return {
    show: ({ charts, demos, folder }) => {
      byId("door").hidden = false;
      byId("work").hidden = true;
      byId("shelves").replaceChildren(
        shelf("Charts here, newest first", "chart", charts, `None in ${folder} yet.`),
        shelf("Demos, opened as a copy", "demo", demos, ""),
        newOne(),
      );
      byId("shelves").querySelector("button").focus();
    },
    hide: () => {
      const had = byId("door").contains(document.activeElement);
      byId("door").hidden = true;
      byId("work").hidden = false;
      if (had) byId("play").focus();
    },
  };
}
