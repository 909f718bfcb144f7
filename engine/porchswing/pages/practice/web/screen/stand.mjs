/** The stand view: now, next and the lamps, as large as the screen allows. */

/** Make the stand view; `tap` is what a touch on it does. */
export function makeStand(body, leave, stage, tap) {
  let isShown = false;

  function show(shown) {
    if (shown === isShown) return;
    isShown = shown;
    body.classList.toggle("stand", shown);
    const root = document.documentElement;
    if (shown && root.requestFullscreen) root.requestFullscreen().catch(() => {});
    if (!shown && document.fullscreenElement) document.exitFullscreen().catch(() => {});
  }

  leave.addEventListener("click", (event) => {
    event.stopPropagation();
    show(false);
  });
  stage.addEventListener("click", () => { if (isShown) tap(); });
  document.addEventListener("fullscreenchange", () => {
    if (!document.fullscreenElement) show(false);
  });

  return { show, toggle: () => show(!isShown), get shown() { return isShown; } };
}
