/**
 * The file: saved as one works, taken in when another program saves it, and where both changed
 * it, shown, with nothing lost.
 */

import { make, settled } from "./dom.mjs";

const SAVE_MS = 350;
const AGAIN_MS = 3000;

export function makeSaving({ ask, text, onTaken, notices, line }) {
  let digest = null;
  let saved = null;
  let name = "";
  let busy = false;
  let clash = null;
  const saveSoon = settled(save, SAVE_MS);

  function show(words, isBad = false) {
    line.textContent = words;
    line.classList.toggle("bad", isBad);
  }

  function begin(answer) {
    ({ digest, name } = answer);
    saved = digest ? answer.text : null;
    show(digest ? `${name}, saved` : `${name}, not on disk yet`);
  }

  function changed() {
    if (digest === null) return;
    if (text.text === saved) return;
    show(`${name}, saving…`);
    saveSoon();
  }

  async function save() {
    if (clash || digest === null) return;
    if (busy) {
      saveSoon();
      return;
    }
    busy = true;
    const own = text.text;
    try {
      const answer = await ask("save", { text: own, base: digest });
      if (answer.conflict) differ(answer.conflict);
      else {
        digest = answer.digest;
        saved = own;
        show(`${name}, saved`);
      }
    } catch (error) {
      show(`${name} is not saved: ${error.message}. Your text is still here.`, true);
      setTimeout(() => { if (text.text !== saved) saveSoon(); }, AGAIN_MS);
    }
    busy = false;
    if (text.text !== own) changed();
  }

  /** Save what waits to be saved, now. */
  async function flush() {
    saveSoon.cancel();
    if (digest !== null && text.text !== saved) await save();
    if (digest !== null && text.text !== saved && saved !== null) throw new Error(`${name} is not saved yet`);
  }

  /** Both changed it: say so, and let the teacher choose; the other text is kept beside. */
  function differ(theirs) {
    if (clash) clash.remove();
    const mine = text.text;
    const settle = async (keepsMine) => {
      try {
        const aside = await ask("set aside", { text: keepsMine ? theirs.text : mine });
        clash.remove();
        clash = null;
        digest = theirs.digest;
        if (keepsMine) {
          saved = theirs.text;
          await save();
        } else {
          saved = theirs.text;
          text.take(theirs.text);
          onTaken();
          show(`${name}, saved`);
        }
        notices.append(make("p", { class: "note" }, `The other text is kept as ${aside.name}.`));
      } catch (error) {
        show(error.message, true);
      }
    };
    clash = make("div", { class: "clash", role: "alert" },
      make("p", {}, `${name} was changed by another program too, and here. Nothing is lost: the text you do not take is kept beside it.`),
      make("button", { type: "button", onclick: () => settle(true) }, "Go on with mine"),
      make("button", { type: "button", onclick: () => settle(false) }, "Take theirs"),
      make("details", {}, make("summary", {}, "Show theirs"), make("pre", { tabindex: 0 }, theirs.text)));
    notices.append(clash);
    show(`${name} differs on disk`, true);
  }

  function told(message) {
    if (message.event === "deleted") show(`${name} was deleted; it is written again with your next change.`, true);
    if (message.event === "unreadable") show(message.message, true);
    if (message.event !== "disk" || message.digest === digest || clash || busy) return;
    if (message.text === text.text) {
      digest = message.digest;
      saved = text.text;
    } else if (text.text === saved || saved === null) {
      digest = message.digest;
      saved = message.text;
      text.take(message.text);
      onTaken();
      show(`${name}, taken in again`);
    } else differ(message);
  }

  return {
    begin, changed, told, flush,
    away: () => show("The bench has stopped. Your text is still here; it is saved when it runs again.", true),
    /** The server is there again. */
    back: (answer) => {
      if (answer.text === undefined) return;
      if (answer.digest !== digest) told({ event: "disk", ...answer });
      if (text.text !== saved) saveSoon();
      else show(`${name}, saved`);
    },
  };
}
