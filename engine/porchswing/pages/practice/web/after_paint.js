(() => {
"use strict";

/** Run the page's script. */
function begin() {
{{script}}}

// The script waits until the page has been painted: the text can be read meanwhile. A hidden page is
// not painted, so there it runs at once. What is touched before that is touched again then.
let touched = null;
const remember = (event) => { touched = event.target.closest("button, .plank"); };

function beginNow() {
  document.removeEventListener("click", remember);
  begin();
  document.documentElement.classList.remove("waking");
  touched?.click();
}

if (document.hidden) beginNow();
else {
  document.addEventListener("click", remember);
  requestAnimationFrame(() => { setTimeout(beginNow); });
}
})();
