"use strict";
// One step is seen at a time; its number is in the address, so that a reload stays where one was.
const steps = [...document.querySelectorAll(".step")];
const back = document.getElementById("back");
const on = document.getElementById("on");
const place = document.getElementById("place");
const SWIPE_PX = 60;
let timers = [];

function here() {
  return Math.max(0, steps.findIndex((step) => `#${step.id}` === location.hash));
}

function show() {
  const number = here();
  steps.forEach((step, index) => step.classList.toggle("here", index === number));
  back.disabled = number === 0;
  on.disabled = number === steps.length - 1;
  place.textContent = number ? `${number} of ${steps.length - 1}` : "";
  stopCount();
  scrollTo(0, 0);
  steps[number].focus({ preventScroll: true });
}

function stepBy(by) {
  const number = Math.min(steps.length - 1, Math.max(0, here() + by));
  if (number !== here()) location.hash = steps[number].id;
}

function stopCount() {
  timers.forEach(clearTimeout);
  timers = [];
  for (const shown of document.querySelectorAll(".count output")) shown.textContent = "";
}

function countOff(button) {
  stopCount();
  const shown = button.nextElementSibling;
  for (const [number, seconds] of JSON.parse(button.dataset.counts)) {
    timers.push(setTimeout(() => { shown.textContent = number; }, seconds * 1000));
  }
}

const isAtFoot = () => innerHeight + scrollY >= document.documentElement.scrollHeight - 2;
const isAtHead = () => scrollY <= 0;
const KEYS = {
  ArrowRight: () => stepBy(1),
  ArrowLeft: () => stepBy(-1),
  PageDown: () => isAtFoot() && stepBy(1),
  PageUp: () => isAtHead() && stepBy(-1),
  Home: () => stepBy(-steps.length),
};

addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey || !(event.key in KEYS)) return;
  if (KEYS[event.key]() !== false) event.preventDefault();
});

let start = null;
addEventListener("touchstart", (event) => {
  start = event.touches.length === 1 ? event.touches[0] : null;
}, { passive: true });
addEventListener("touchend", (event) => {
  if (!start) return;
  const end = event.changedTouches[0];
  const [x, y] = [end.clientX - start.clientX, end.clientY - start.clientY];
  if (Math.abs(x) > SWIPE_PX && Math.abs(x) > 2 * Math.abs(y)) stepBy(x < 0 ? 1 : -1);
  start = null;
}, { passive: true });

for (const button of document.querySelectorAll(".count button")) {
  button.addEventListener("click", () => countOff(button));
}
back.addEventListener("click", () => stepBy(-1));
on.addEventListener("click", () => stepBy(1));
addEventListener("hashchange", show);
back.hidden = on.hidden = false;
document.documentElement.classList.add("live");
show();
