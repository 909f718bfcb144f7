/** The drawers under the bars, filled with what the tune is when they open. */

import { make } from "../dom.mjs";
import { drawer, keyList, partLevels, patternLists, workCurve } from "./panels.mjs";
import { lessonSheet } from "./lesson.mjs";
import { makeStrum } from "./strum.mjs";

const PARTS = ["chords", "bass", "drums", "count"];
const USUAL_STRUMS = { "4/4": "four", "3/4": "waltz", "2/4": "two_beat", "6/8": "six_eight" };

/**
 * `seen()` is what the bars show, `onMend(row)` opens a change of the hand, `onChange()` hears of
 * a control, `onStrum(name)` of a strum that was saved, `onWrite(text)` of a whole new text.
 */
export function makeDrawers(root, {
  ask, asked, text, seen, controls, band, say, onMend, onChange, onStrum, onWrite,
}) {
  const levels = new Map();
  let words = null;
  let groups = [];
  let sheet = null;

  const work = drawer("The hand's work", "where it is hard, and the shapes", (body) => {
    if (seen()) workCurve(body, seen(), onMend);
  });
  const keys = drawer("Other keys", "how well the tune lies in each", fillKeys);
  const players = drawer("The band", "parts softer or out, patterns to try", fillBand);
  const strums = drawer("The strum", "stroke by stroke", (body) => strum.show(currentStrum(), body));
  const strum = makeStrum(strums.body, { ask, onSaved: onStrum, say });
  const lesson = drawer("Make the lesson", "what the student takes home", (body) => {
    if (seen()) sheet = lessonSheet(body, groups, seen(), (order) => ask("make", { ...order, ...asked() }));
  });
  root.append(work.box, keys.box, players.box, strums.box, lesson.box);

  async function fillKeys(body) {
    body.replaceChildren(make("p", {}, "Trying every key…"));
    try {
      const answer = await ask("keys", { ...asked(), controls: { ...controls, key: null } });
      const draw = () => keyList(body, answer.keys, controls.key, { onHear: hearKey, onWrite: writeKey });
      const hearKey = (key) => {
        controls.key = key === writtenKey() ? null : key;
        draw();
        onChange();
      };
      draw();
    } catch (error) {
      body.replaceChildren(make("p", {}, error.message));
    }
  }

  async function writeKey(key) {
    try {
      const made = await ask("transpose", { text: text.text, key });
      controls.key = null;
      onWrite(made.text);
      keys.refresh();
    } catch (error) {
      say(error.message);
    }
  }

  function writtenKey() {
    const found = /^\s*key\s*:\s*(.*?)\s*$/im.exec(text.text);
    return found ? found[1] : "C";
  }

  function fillBand(body) {
    if (!seen() || !words) return;
    partLevels(body, PARTS, levels, (part, level) => band.setLevel(part, level));
    patternLists(body, words, seen().meter, controls, (kind, name) => {
      if (name) controls[kind] = name;
      else delete controls[kind];
      strums.refresh();
      onChange();
    });
  }

  function currentStrum() {
    const said = /^\s*strum\s*:\s*(\S+)/im.exec(text.text);
    return controls.strum || (said && said[1]) || (seen() && USUAL_STRUMS[seen().meter]) || "four";
  }

  return {
    seenAnew: work.refresh,
    learn: (newWords) => { words = newWords; players.refresh(); },
    setGroups: (newGroups) => { groups = newGroups; },
    progress: (share) => { if (sheet) sheet.progress(share); },
  };
}
