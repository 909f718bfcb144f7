/** The keys of the page; `KEYS` of `page.html` lists them for the player. */

/** Elements whose own arrow keys come first. */
const OWN_ARROWS = "input";

/** Listen to the keyboard: `on` has a deed for each key. */
export function listenToKeys(on) {
  const deeds = {
    "[": on.loopFrom,
    "]": on.loopTo,
    ArrowUp: on.faster,
    ArrowDown: on.slower,
    b: on.backBar,
    l: on.loopStart,
    t: on.top,
    c: on.chords,
    s: on.stand,
    Escape: on.escape,
  };

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === " ") {
      event.preventDefault();
      if (!event.repeat) on.play();
      return;
    }
    const isArrow = event.key.startsWith("Arrow");
    if (isArrow && event.target.closest(OWN_ARROWS)) return;
    const deed = deeds[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!deed) return;
    event.preventDefault();
    deed();
  });
  // a button acts when Space comes up: Space is for playing alone
  document.addEventListener("keyup", (event) => {
    if (event.key === " ") event.preventDefault();
  });
}
