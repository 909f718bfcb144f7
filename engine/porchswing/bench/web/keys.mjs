/**
 * Keys of the whole page: space plays, L turns the lane, B goes back and forth in the tray, escape
 * closes it, and undo works wherever one is.
 */

const WRITING = ".cm-editor, input:not([type=range]):not([type=checkbox]), select, textarea";
const PRESSING = "button, summary, a, [type=checkbox]";

export function listenToKeys({ tray, band, undo, redo, play, turnLane }) {
  function withControl(event) {
    if (event.altKey || event.key.toLowerCase() !== "z") return;
    event.preventDefault();
    if (event.shiftKey) redo();
    else undo();
  }

  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && tray.isOpen) {
      event.preventDefault();
      tray.close();
    }
    if (event.target.closest(WRITING)) return;
    const key = event.key.toLowerCase();
    if (event.ctrlKey || event.metaKey || event.altKey) withControl(event);
    else if (key === " " && !event.target.closest(PRESSING)) {
      event.preventDefault();
      if (tray.isOpen && band.playing) band.stop();
      else play(event.timeStamp);
    } else if (key === "l") turnLane();
    else if (key === "b" && tray.isOpen) tray.back(event.timeStamp);
  });
}
