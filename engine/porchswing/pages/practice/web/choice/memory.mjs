/** What the page remembers of a tune from visit to visit, where the browser lets it. */

const PREFIX = "porchswing ";

/** The browser's own storage, or null where this page has none. */
export function browserStorage() {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

/** Make the memory of one tune, kept under `key` in `storage` (may be null). */
export function makeMemory(storage, key) {
  /** Return what was remembered, or an empty record. */
  function recall() {
    try {
      const kept = JSON.parse(storage.getItem(PREFIX + key));
      return kept && typeof kept === "object" ? kept : {};
    } catch {
      return {}; // no storage here, or not ours
    }
  }

  function keep(record) {
    try {
      storage.setItem(PREFIX + key, JSON.stringify(record));
    } catch {
      // a private window, a full disk, a previewer: the page works without
    }
  }

  return { recall, keep };
}

/** The choices of `fresh` with what was remembered and is still possible in this tune. */
export function recalled(fresh, kept, tune) {
  const places = 1 + Math.max(...tune.bars.map((bar) => bar.place));
  const fits = {
    speed: (value) => value >= 0.4 && value <= 1.5,
    ratio: (value) => value === null || (value >= 1 && value <= 3.5),
    lane: (value) => tune.lanes.some((lane) => lane.name === value),
    mode: (value) => ["along", "answer", "fade"].includes(value),
    chords: (value) => ["heard", "softer", "mine"].includes(value),
    choruses: (value) => Number.isInteger(value) && value >= 1 && value <= 20,
    countIn: (value) => tune.countIn > 0 && ["none", "once", "every"].includes(value),
    start: (value) => Number.isInteger(value) && value >= 0 && value < places,
  };
  const found = { ...fresh };
  for (const [name, fit] of Object.entries(fits)) {
    if (name in kept && fit(kept[name])) found[name] = kept[name];
  }
  const { from, to } = kept;
  if (Number.isInteger(from) && Number.isInteger(to) && from >= 0 && from <= to && to < places) {
    Object.assign(found, { from, to });
  }
  return found;
}
