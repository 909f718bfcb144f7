/**
 * The boards, as they stand in the page: every bar a plank to touch, every section name a loop.
 */


/** Wake the boards inside `root`; `onTouch(place)` and `onSection(from, to)` hear of touches. */
export function makeBoards(root, kept, { onTouch, onSection }) {
  const planks = new Map([...root.querySelectorAll(".plank")].map((plank) => (
    [Number(plank.dataset.place), plank])));
  const tags = new Map([...planks].map(([place, plank]) => [place, plank.querySelector(".tag")]));
  const groups = new Map([...planks].map(([place, plank]) => [
    place,
    [...plank.querySelectorAll(".chords, .plain")].map((group) => (
      [...group.querySelectorAll(".slot")].map((item) => ({ at: Number(item.dataset.at), item })))),
  ]));
  let playing = null;
  let sounding = [];

  for (const [place, plank] of planks) {
    plank.setAttribute("role", "button");
    plank.setAttribute("aria-pressed", "false");
    plank.tabIndex = place === 0 ? 0 : -1;
  }
  for (const section of root.querySelectorAll(".section")) {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...section.childNodes);
    const loop = document.createElement("small");
    loop.textContent = "loop";
    button.append(" ", loop);
    section.append(button);
    button.addEventListener("click", () => (
      onSection(Number(section.dataset.from), Number(section.dataset.to))));
  }
  root.addEventListener("click", (event) => {
    const plank = event.target.closest(".plank");
    if (plank) onTouch(Number(plank.dataset.place));
  });
  root.addEventListener("keydown", (event) => {
    const plank = event.target.closest(".plank");
    if (plank) roam(event, Number(plank.dataset.place));
  });

  /** Enter touches; left, right, Home and End walk over the planks, so Tab passes in one step. */
  function roam(event, place) {
    if (event.key === "Enter") onTouch(place);
    const goals = { ArrowRight: place + 1, ArrowLeft: place - 1, Home: 0, End: planks.size - 1 };
    const goal = goals[event.key];
    if (goal === undefined || !planks.has(goal)) return;
    event.preventDefault();
    planks.get(place).tabIndex = -1;
    planks.get(goal).tabIndex = 0;
    planks.get(goal).focus();
  }

  /** Show the line of a string of a lane, or none for null. */
  function showLine(lane, string) {
    for (const line of root.querySelectorAll(".line")) line.remove();
    const lines = string === null ? null : kept.content.querySelector(`[data-line="${lane} ${string}"]`);
    root.classList.toggle("lined", lines !== null);
    if (!lines) return;
    for (const [place, plank] of planks) plank.after(lines.children[place].cloneNode(true));
  }

  /** Mark the bar being played and the chord in it; null for none. */
  function showPlaying(place, at) {
    const plank = planks.get(place) || null;
    if (playing !== plank) {
      if (playing) {
        playing.classList.remove("playing");
        playing.removeAttribute("aria-current");
      }
      if (plank) {
        plank.classList.add("playing");
        plank.setAttribute("aria-current", "true");
      }
      playing = plank;
    }
    const due = plank === null ? [] : groups.get(place).map((slots) => (
      slots.filter((slot) => slot.at <= at + 1e-6).pop()?.item));
    if (due.length === sounding.length && due.every((item, index) => item === sounding[index])) return;
    for (const item of sounding) item?.classList.remove("sounding");
    for (const item of due) item?.classList.add("sounding");
    sounding = due;
  }

  /** Mark the start and the loop of a choice, and the place gone to next (or null). */
  function showPlaces({ start, from, to }, going = null) {
    for (const [place, plank] of planks) {
      const inside = to !== null && place >= from && place <= to;
      plank.classList.toggle("looped", inside);
      plank.classList.toggle("going", place === going);
      plank.setAttribute("aria-pressed", String(inside || (place === start && place > 0)));
      let words = place === start && (place > 0 || to !== null) ? "start" : "";
      if (place === from) words = "from";
      if (to !== null && place === to) words = from === to ? "loop" : "to";
      tags.get(place).textContent = place === going ? "next" : words;
    }
  }

  return { showLine, showPlaying, showPlaces, plank: (place) => planks.get(place) };
}

