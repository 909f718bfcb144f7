/** From the text to the bars: drawn a moment after each change, with what is wrong or doubtful. */

import { byId, make, settled } from "./dom.mjs";

const LOOK_MS = 40;
const DOUBTS_MS = 700;
const SLOW_MS = 2500;

/** `onSeen(seen)` hears of every drawing, `onSettled()` once the bars are those of the text. */
export function makeLooking({ ask, asked, text, boards, controls, say, onSeen, onSettled }) {
  let seen = null;
  let errors = [];
  let doubts = [];
  let editedAt = null;
  const soon = settled(look, LOOK_MS);
  const doubtsSoon = settled(askDoubts, DOUBTS_MS);

  function edited() {
    editedAt = performance.now();
    doubtsSoon.cancel();
    soon();
  }

  async function look() {
    const own = asked();
    const since = editedAt;
    const slow = setTimeout(() => say("The bars take a while: the tune is long or the machine busy."), SLOW_MS);
    let answer;
    try {
      answer = await ask("look", own);
    } catch (error) {
      text.showProblems([], []);
      boards.dim(true);
      say(error.message);
      return;
    } finally {
      clearTimeout(slow);
    }
    await boards.released();
    if (answer.stale || own.text !== text.text) return;
    errors = answer.errors;
    if (errors.length) {
      doubts = [];
      boards.dim(true);
    } else {
      seen = answer;
      boards.dim(false);
      show();
      if (since !== null && since === editedAt) drawnSince(since);
      doubtsSoon();
      onSettled();
    }
    text.showProblems(errors, doubts);
  }

  function drawnSince(since) {
    const detail = { ms: performance.now() - since };
    window.dispatchEvent(new CustomEvent("porchswing:drawn", { detail }));
    editedAt = null;
  }

  function show() {
    byId("title").textContent = seen.title;
    document.title = `${seen.title} – the bench`;
    byId("about").textContent = `key of ${seen.key} · ${seen.meter} · ${seen.bars.length} bars`;
    boards.show(seen, controls.lane);
    const pick = byId("line");
    const chosen = pick.value;
    pick.replaceChildren(make("option", { value: "" }, "none"),
      ...seen.strings.map((name, index) => make("option", { value: index }, name)));
    pick.value = chosen;
    onSeen(seen);
    const trouble = seen.trouble[controls.lane];
    if (trouble !== undefined) say(trouble);
  }

  async function askDoubts() {
    const own = text.text;
    try {
      const answer = await ask("doubts", { text: own });
      if (answer.stale || own !== text.text) return;
      ({ errors, doubts } = answer);
      text.showProblems(errors, doubts);
    } catch { /* the next look says it */ }
  }

  return {
    look, soon, edited,
    get seen() { return seen; },
    get isWrong() { return errors.length > 0; },
  };
}
