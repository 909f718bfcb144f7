/** The parts of CodeMirror 6 that the bench's text uses. */

export {
  autocompletion, closeCompletion, completionKeymap, startCompletion,
} from "@codemirror/autocomplete";
export { defaultKeymap, history, historyKeymap, isolateHistory, redo, undo } from "@codemirror/commands";
export { HighlightStyle, StreamLanguage, syntaxHighlighting } from "@codemirror/language";
export { lintGutter, lintKeymap, setDiagnostics } from "@codemirror/lint";
export { Compartment, EditorSelection, EditorState, StateEffect, StateField, Transaction } from "@codemirror/state";
export {
  Decoration, EditorView, drawSelection, highlightActiveLine, keymap, lineNumbers, placeholder,
  WidgetType,
} from "@codemirror/view";
export { tags } from "@lezer/highlight";
