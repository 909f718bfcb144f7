/** Scrolling along with the music, and leaving the page alone while a hand scrolls it. */

const REST_MS = 4000;
const RAIL_PX = 110;
const MARGIN_PX = 16;

/** Make a function that brings a plank's board into view; `stillness` asks for no motion. */
export function makeFollower(stillness) {
  let touchedAt = -REST_MS;
  for (const kind of ["wheel", "touchmove"]) {
    window.addEventListener(kind, () => { touchedAt = performance.now(); }, { passive: true });
  }

  return function follow(plank) {
    if (performance.now() - touchedAt < REST_MS) return;
    const board = plank.closest(".boardrow").getBoundingClientRect();
    const stage = document.querySelector(".stage");
    const roof = stage.getBoundingClientRect();
    const above = roof.right > board.left + 1 && getComputedStyle(stage).position === "sticky";
    const top = above ? roof.height : 0;
    if (board.top >= top && board.bottom <= window.innerHeight - RAIL_PX) return;
    window.scrollBy({
      top: board.top - top - MARGIN_PX, behavior: stillness.matches ? "auto" : "smooth",
    });
  };
}
