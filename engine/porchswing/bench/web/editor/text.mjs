/**
 * The chart's text: an editor with colours, problems under their lines, completion, and one
 * history for typing and choices.
 */

import {
  autocompletion, Compartment, completionKeymap, Decoration, defaultKeymap, drawSelection,
  EditorState, EditorView, highlightActiveLine, HighlightStyle, history, historyKeymap,
  isolateHistory, keymap, lineNumbers, redo, StateEffect, StateField, StreamLanguage,
  syntaxHighlighting, tags, Transaction, undo, WidgetType,
} from "./codemirror.js";
import { make } from "../dom.mjs";

const LANE = /^\s*(plain|swing|melody|words(\s+\d+)?)(?=\s*:?\|)/;

const changes = StreamLanguage.define({
  name: "changes",
  startState: () => ({ words: false, header: false }),
  token(stream, state) {
    if (stream.sol()) {
      state.header = false;
      state.words = false;
      if (stream.match(/^\s*#.*/)) return "comment";
      if (stream.match(/^\s*\[.*?\]/)) return "heading";
      const lane = stream.match(LANE);
      if (lane) {
        state.words = lane[1].startsWith("words");
        return "keyword";
      }
      if (stream.match(/^\s*[\w-]+\s*:(?!\|)/)) {
        state.header = true;
        return "propertyName";
      }
    }
    if (state.header) {
      stream.skipToEnd();
      return "string";
    }
    if (stream.match(/^:?\|[\]|:]?(x\d+)?(?=[\s\d]|$)/) || stream.match(/^[:|]+/)) return "separator";
    if (state.words) {
      if (stream.match(/^(?:[-_*~](?=[\s|_-]|$)|_+)/)) return "operator";
      if (stream.match(/^[^\s|_-]+-?/)) return "string";
      stream.next();
      return null;
    }
    if (stream.match(/^\{[^}]*\}?/)) return "attributeName";
    if (stream.match(/^@[-\dxX]+/)) return "number";
    if (stream.match(/^[%/]/)) return "operator";
    if (stream.match(/^[^\s|@{]+/)) return "atom";
    stream.next();
    return null;
  },
  tokenTable: { separator: tags.separator },
});

const colours = HighlightStyle.define([
  { tag: tags.comment, class: "t-comment" },
  { tag: tags.heading, class: "t-section" },
  { tag: tags.keyword, class: "t-lane" },
  { tag: tags.propertyName, class: "t-key" },
  { tag: tags.string, class: "t-value" },
  { tag: tags.separator, class: "t-line" },
  { tag: tags.attributeName, class: "t-mark" },
  { tag: tags.number, class: "t-lock" },
  { tag: tags.operator, class: "t-beat" },
  { tag: tags.atom, class: "t-chord" },
]);

class ProblemNote extends WidgetType {
  constructor(problem, doubtful, line) {
    super();
    this.problem = problem;
    this.doubtful = doubtful;
    this.line = { from: line.from, text: line.text };
  }

  eq(other) {
    const said = (note) => JSON.stringify([note.problem, note.doubtful, note.line]);
    return said(other) === said(this);
  }

  toDOM(view) {
    const { message, hint, mend } = this.problem;
    const said = make("div", { class: this.doubtful ? "problem doubtful" : "problem" },
      make("span", {}, `${this.doubtful ? "doubtful: " : ""}${message}. `));
    if (mend) {
      const words = hint.includes("did you mean") || !mend[2].trim() ? hint : `write ${mend[2].trim()}`;
      said.append(make("button", { type: "button", class: "mend", onclick: () => this.mend(view, said) }, words));
    } else if (hint) said.append(make("i", {}, hint));
    return said;
  }

  /** Mend the line where it stands by now, unless it was changed since and is to be read anew. */
  mend(view, said) {
    const line = view.state.doc.lineAt(view.posAtDOM(said));
    if (line.text !== this.line.text) return;
    const [from, to, insert] = this.problem.mend;
    const moved = line.from - this.line.from;
    view.dispatch({
      changes: { from: from + moved, to: to + moved, insert },
      effects: mended.of(this),
      annotations: [isolateHistory.of("full"), Transaction.userEvent.of("input.mend")],
    });
    view.focus();
  }

  ignoreEvent() { return true; }
}

const setProblems = StateEffect.define();
const mended = StateEffect.define();
const setBar = StateEffect.define();

const problems = StateField.define({
  create: () => Decoration.none,
  update(value, transaction) {
    let found = value.map(transaction.changes);
    for (const effect of transaction.effects) {
      if (effect.is(setProblems)) found = noted(transaction.state.doc, effect.value);
      if (effect.is(mended)) {
        found = found.update({ filter: (from, to, { spec }) => !spec.widget?.eq(effect.value) });
      }
    }
    return found;
  },
  provide: (field) => EditorView.decorations.from(field),
});

function noted(doc, { errors, doubts }) {
  const marks = [];
  for (const [list, doubtful] of [[errors, false], [doubts, true]]) {
    for (const problem of list) {
      if (problem.line < 1 || problem.line > doc.lines) continue;
      const line = doc.line(problem.line);
      const from = Math.min(line.from + problem.column - 1, line.to);
      const to = Math.min(from + problem.width, line.to);
      if (to > from) {
        marks.push(Decoration.mark({ class: doubtful ? "is-doubtful" : "is-wrong" }).range(from, to));
      }
      const note = new ProblemNote(problem, doubtful, line);
      marks.push(Decoration.widget({ widget: note, block: true, side: 1 }).range(line.to));
    }
  }
  return Decoration.set(marks, true);
}

const barMark = StateField.define({
  create: () => Decoration.none,
  update(value, transaction) {
    let found = value.map(transaction.changes);
    for (const effect of transaction.effects) {
      if (!effect.is(setBar)) continue;
      const { from, to } = effect.value;
      const last = transaction.state.doc.length;
      found = from === null || to > last || from >= to ? Decoration.none
        : Decoration.set([Decoration.mark({ class: "is-bar" }).range(from, to)]);
    }
    return found;
  },
  provide: (field) => EditorView.decorations.from(field),
});

/** What may stand at the cursor, from the engine's own tables. */
function completer(words) {
  const named = (list, type) => list.map((word) => (
    typeof word === "string" ? { label: word, type } : { type, ...word, detail: word.title }));
  const keyed = {
    strum: named(words.patterns.strum, "pattern"),
    bass: named(words.patterns.bass, "pattern"),
    drums: named(words.patterns.drums, "pattern"),
    key: named(words.keys, "key"),
    tuning: named(words.tunings, "tuning"),
  };
  return (context) => {
    const line = context.state.doc.lineAt(context.pos);
    const before = line.text.slice(0, context.pos - line.from);
    const value = /^\s*(\w+)\s*:\s*(\S*(?: \w*)?)$/.exec(before);
    if (value && keyed[value[1].toLowerCase()]) {
      return { from: context.pos - value[2].length, options: keyed[value[1].toLowerCase()] };
    }
    const mark = /\{(?:[\w,]*,)?(\w*)$/.exec(before);
    if (mark) return { from: context.pos - mark[1].length, options: named(words.marks, "mark") };
    if (before.includes("|")) {
      if (/^\s*(?:words|melody)\b/.test(before)) return null;
      const chord = /(?:^|[\s|])([A-G][#b]?)([^\s|@{]*)$/.exec(before);
      if (!chord) return null;
      const whole = chord[1] + chord[2];
      return {
        from: context.pos - whole.length,
        options: words.suffixes.map((suffix) => ({ label: chord[1] + suffix, type: "chord" })),
        validFor: /^[A-G][^\s|@{]*$/,
      };
    }
    const start = /^\s*([a-z]+)$/.exec(before);
    if (!start) return null;
    const inSection = /^\s*\[/m.test(context.state.sliceDoc(0, line.from));
    const keys = (inSection ? words.settings : words.headers).map((key) => ({
      label: key, apply: `${key}: `, type: "key" }));
    const lanes = inSection ? words.lanes.map((lane) => ({ label: lane, apply: `${lane} | `, type: "lane" })) : [];
    return { from: context.pos - start[1].length, options: [...lanes, ...keys] };
  };
}

/** Make the editor in `root`. `onChange(text)` hears of edits, `onCursor(place)` of the cursor. */
export function makeText(root, nonce, { onChange, onCursor }) {
  const completion = new Compartment();
  let quiet = false;
  const state = EditorState.create({
    doc: "",
    extensions: [
      lineNumbers(), history(), drawSelection(), highlightActiveLine(), changes,
      syntaxHighlighting(colours), problems, barMark, completion.of([]),
      EditorView.lineWrapping, EditorView.cspNonce.of(nonce),
      EditorView.contentAttributes.of({ "aria-label": "The chart's text" }),
      keymap.of([...completionKeymap, ...historyKeymap, ...defaultKeymap]),
      EditorView.updateListener.of((update) => {
        if (update.docChanged && !quiet) onChange(update.state.doc.toString());
        if (update.selectionSet && update.view.hasFocus) {
          onCursor(update.state.selection.main.head);
        }
      }),
    ],
  });
  const view = new EditorView({ state, parent: root });

  /** Put other text in, changing only what differs, so that scroll and cursor stay. */
  function take(text, { isFirst = false } = {}) {
    const old = view.state.doc.toString();
    if (old === text) return;
    let from = 0;
    while (from < old.length && from < text.length && old[from] === text[from]) from += 1;
    let end = 0;
    while (end < old.length - from && end < text.length - from
      && old[old.length - 1 - end] === text[text.length - 1 - end]) end += 1;
    quiet = true;
    view.dispatch({
      changes: { from, to: old.length - end, insert: text.slice(from, text.length - end) },
      annotations: isFirst ? [Transaction.addToHistory.of(false)] : [isolateHistory.of("full")],
    });
    quiet = false;
  }

  /** Make edits `[from, to, insert]` as one step of the history. */
  function edit(edits) {
    if (!edits.length) return;
    view.dispatch({
      changes: edits.map(([from, to, insert]) => ({ from, to, insert })),
      annotations: [isolateHistory.of("full"), Transaction.userEvent.of("input.choose")],
    });
  }

  return {
    take,
    edit,
    undo: () => undo(view),
    redo: () => redo(view),
    focus: () => view.focus(),
    goTo: (line) => {
      const { from } = view.state.doc.line(Math.min(line, view.state.doc.lines));
      view.dispatch({ selection: { anchor: from }, scrollIntoView: true });
      view.focus();
    },
    learn: (words) => view.dispatch({
      effects: completion.reconfigure(autocompletion({ override: [completer(words)], icons: false })),
    }),
    showProblems: (errors, doubts) => view.dispatch({ effects: setProblems.of({ errors, doubts }) }),
    showBar: (span) => view.dispatch({
      effects: [
        setBar.of(span ? { from: span[0], to: span[1] } : { from: null }),
        ...(span ? [EditorView.scrollIntoView(Math.min(span[0], view.state.doc.length), { y: "nearest", yMargin: 40 })] : []),
      ],
    }),
    get text() { return view.state.doc.toString(); },
    get hasFocus() { return view.hasFocus; },
  };
}
