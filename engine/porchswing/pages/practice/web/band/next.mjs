/** The next different grip, and how the hand gets there: no page needed. */

/** The slot of a bar that sounds `at` beats into it. */
export function slotAt(slots, at) {
  let found = slots[0];
  for (const slot of slots) if (slot.at <= at + 1e-6) found = slot;
  return found;
}

/**
 * The next slot with other frets than `slot`, and the beats until it: `{slot, beats}`, or null.
 *
 * `at` is where the bar of `slots` is now, in beats; `ahead` are the bars to come, each with its
 * beats from `from`, a place in the same bar; `slotsOf` gives the slots of a bar and `fretsOf` the
 * frets of a grip's number: fingers alone make no other grip.
 */
export function nextGrip(slots, slot, at, from, ahead, slotsOf, fretsOf) {
  const held = slot.grip === null ? null : fretsOf(slot.grip);
  const differs = (other) => other.grip !== null && fretsOf(other.grip) !== held;
  for (const later of slots.slice(slots.indexOf(slot) + 1)) {
    if (differs(later)) return { slot: later, beats: later.at - at };
  }
  for (const { bar, beats } of ahead) {
    const found = slotsOf(bar).find(differs);
    if (found) return { slot: found, beats: beats - (at - from) + found.at };
  }
  return null;
}

/** Fingers that stay where they are between two grips, in order. */
export function stayingFingers(before, after) {
  const stay = new Set();
  before.fingers.forEach((finger, string) => {
    const same = finger > 0 && finger === after.fingers[string];
    if (same && before.at[string] === after.at[string]) stay.add(finger);
  });
  return [...stay].sort();
}

/** Whether two grips are one shape at different frets. */
function slides(before, after) {
  const away = before.at.map((fret, string) => (fret === null ? null : after.at[string] - fret));
  const moved = away.filter((frets) => frets !== null);
  return before.at.every((fret, string) => (fret === null) === (after.at[string] === null))
    && !before.at.includes(0) && !after.at.includes(0)
    && moved.every((frets) => frets === moved[0]);
}

/** The way from grip to grip in words; `shift` is in frets, below 0 towards the nut. */
export function moveWords(before, after, shift) {
  const frets = `${Math.abs(shift)} fret${Math.abs(shift) === 1 ? "" : "s"}`;
  const where = shift > 0 ? `${frets} up the neck` : `${frets} down, towards the nut`;
  if (shift && slides(before, after)) return `slide the shape ${where}`;
  const stay = stayingFingers(before, after);
  const fingers = stay.length > 1 ? `fingers ${stay.join(" ")} stay` : `finger ${stay[0]} stays`;
  const words = stay.length ? [fingers] : [];
  if (shift) words.push(where);
  return words.join(", ") || "the hand stays, fingers change";
}

/** Beats to go as a player counts them, in units of the meter. */
export function toGoWords(beats, unit) {
  return `in ${Math.max(1, Math.ceil(beats / unit - 1e-6))}`;
}
