/**
 * What comes after what: the choices of the player turned into spans of written beats.
 *
 * A span is one stretch of the performance played without a gap:
 * `{start, end, chords, turn, round, count}` with `start` and `end` in beats of the
 * performance, `chords` the level of the chord part (0 to 1), `turn` one of "", "listen",
 * "answer", `round` counting from 1, and `count` true for a count-in that leads to `end`.
 *
 * A place is one bar as the page shows it (intro, one chorus, what later choruses alone play,
 * ending); the performance may hold several choruses, and every played bar knows its place.
 */

/** How many bars a listen-then-answer phrase has, where the section is not shorter. */
export const PHRASE_BARS = 4;

/** How many rounds a loop takes to fade its chord part to nothing. */
export const LOOP_FADE_ROUNDS = 5;

/** Level of the chord part in round `round` (from 1) of `rounds`: full first, silent last. */
export function fadeLevel(round, rounds) {
  if (rounds < 2) return 1;
  const left = Math.max(0, 1 - (round - 1) / (rounds - 1));
  return left * left;
}

/** Played bars of one chorus (or of the intro or the ending), in order. */
function stretch(bars, role, chorus) {
  return bars.filter((bar) => bar.role === role && (role !== "form" || bar.chorus === chorus));
}

/** Join bars that follow each other without a gap into `[start, end]` pairs of beats. */
export function joined(bars) {
  const pairs = [];
  for (const bar of bars) {
    const last = pairs[pairs.length - 1];
    if (last && Math.abs(last[1] - bar.start) < 1e-6) last[1] = bar.start + bar.beats;
    else pairs.push([bar.start, bar.start + bar.beats]);
  }
  return pairs;
}

/** Split bars into phrases of at most `PHRASE_BARS`, never across a section. */
export function phrases(bars) {
  const groups = [];
  for (const bar of bars) {
    const group = groups[groups.length - 1];
    const fits = group && group.length < PHRASE_BARS && bar.bar === group[group.length - 1].bar + 1
      && bar.section === group[0].section;
    if (fits) group.push(bar);
    else groups.push([bar]);
  }
  return groups;
}

/** How many choruses the performance holds. */
export function chorusVersions(bars) {
  return Math.max(1, ...bars.map((bar) => bar.chorus));
}

/** The bars of chorus `round` of `rounds`: as performed, the last performed one kept for last. */
export function chorusBars(bars, round, rounds) {
  const versions = chorusVersions(bars);
  const before = Math.max(1, versions - 1);
  return stretch(bars, "form", round === rounds ? versions : Math.min(round, before));
}

/** The first bar that is played at a place. */
function firstAt(bars, place) {
  return bars.find((bar) => bar.place === place);
}

/** The bars of a round that begins at a place: of the chorus that has it, where another has not. */
function chorusWith(bars, round, rounds, place) {
  const chorus = chorusBars(bars, round, rounds);
  const home = firstAt(bars, place);
  const has = home.role !== "form" || chorus.some((bar) => bar.place === place);
  return has ? chorus : stretch(bars, "form", home.chorus);
}

function spansOf(bars, round, extra = {}) {
  return joined(bars).map(([start, end]) => ({
    start, end, chords: 1, turn: "", round, count: false, ...extra,
  }));
}

/** Listen, then answer: the same bars with the chord part and without it. */
function answered(bars, round) {
  return [
    ...spansOf(bars, round, { turn: "listen" }),
    ...spansOf(bars, round, { turn: "answer", chords: 0 }),
  ];
}

/** The whole tune from a place on, as groups of spans; each group is a possible count-in. */
function* wholeTune(bars, choice, from, firstRound) {
  const home = firstAt(bars, from);
  if (!home) return;
  const wanted = (bar) => bar.place >= from;
  const ending = stretch(bars, "ending").filter(wanted);
  const onlyEnding = home.role === "ending";
  const isLastTime = home.role === "form" && home.chorus > 1;
  const rounds = Math.max(choice.choruses, firstRound);
  const opening = isLastTime ? rounds : firstRound;
  if (choice.mode !== "answer") {
    const intro = stretch(bars, "intro").filter(wanted);
    if (intro.length) yield spansOf(intro, 1);
  }
  for (let round = opening; round <= rounds && !onlyEnding; round += 1) {
    const isOpening = round === opening;
    const chorus = isOpening ? chorusWith(bars, round, rounds, from) : chorusBars(bars, round, rounds);
    const first = isOpening ? chorus.findIndex((bar) => bar.place === from) : 0;
    const due = (bar) => chorus.indexOf(bar) >= first;
    const chords = choice.mode === "fade" ? fadeLevel(round, rounds) : 1;
    const groups = choice.mode === "answer" ? phrases(chorus) : [chorus];
    for (const group of groups.map((whole) => whole.filter(due)).filter((left) => left.length)) {
      yield choice.mode === "answer" ? answered(group, round) : spansOf(group, round, { chords });
    }
  }
  if (ending.length && (choice.mode !== "answer" || onlyEnding)) {
    const chords = choice.mode === "fade" && !onlyEnding ? fadeLevel(rounds, rounds) : 1;
    yield spansOf(ending, rounds, { chords });
  }
}

/** A loop over places `from` to `to`, without end; the first round may start further in. */
function* loop(bars, choice, firstPlace) {
  const shown = bars.filter((bar) => firstAt(bars, bar.place) === bar);
  const looped = shown.filter((bar) => bar.place >= choice.from && bar.place <= choice.to);
  for (let round = 1; ; round += 1) {
    const now = round === 1 ? looped.filter((bar) => bar.place >= firstPlace) : looped;
    if (choice.mode === "answer") yield answered(now, round);
    else {
      const chords = choice.mode === "fade" ? fadeLevel(round, LOOP_FADE_ROUNDS) : 1;
      yield spansOf(now, round, { chords });
    }
  }
}

/**
 * Every span to play, in order; endless for a loop.
 *
 * `choice` has `mode` ("along", "answer" or "fade"), `choruses`, `countIn` ("none", "once" or
 * "every"), the place `start` and the places `from` and `to` of a loop (`null` for the whole
 * tune). `resume` is `{place, round}` to go on from in mid-flow: no count-in then.
 */
export function* spans(bars, choice, countInBeats, resume = null) {
  const isLoop = choice.to !== null;
  const place = resume ? resume.place : choice.start;
  const inside = isLoop && place >= choice.from && place <= choice.to;
  const groups = isLoop
    ? loop(bars, choice, inside ? place : choice.from)
    : wholeTune(bars, choice, place, resume ? resume.round : 1);
  let first = true;
  for (const group of groups) {
    const count = first ? choice.countIn !== "none" && resume === null : choice.countIn === "every";
    if (count && countInBeats > 0) {
      const end = group[0].start;
      yield { ...group[0], start: end - countInBeats, end, count: true };
    }
    first = false;
    yield* group;
  }
}

/**
 * Where a round goes on after a bar of the whole tune: `{place, round}`. Where the number of
 * choruses has changed meanwhile, that is the same bar of the form in the chorus that is due.
 */
export function goingOn(bars, choice, bar, round) {
  const own = stretch(bars, bar.role, bar.chorus);
  const index = own.indexOf(bar) + 1;
  if (bar.role !== "form") return { place: bar.place + 1, round };
  const due = chorusBars(bars, round, Math.max(choice.choruses, round));
  if (index < own.length && index < due.length) return { place: due[index].place, round };
  const goal = bars.find((other) => other.role === (round < choice.choruses ? "form" : "ending"));
  return { place: goal ? goal.place : Infinity, round: Math.min(round + 1, Math.max(choice.choruses, round)) };
}

/** The first bars a choice plays, as they come: `{bar, beats}` with the beats before each. */
export function barsFrom(bars, choice, count) {
  const found = [];
  let beats = 0;
  for (const { start, end } of spans(bars, { ...choice, countIn: "none" }, 0)) {
    for (const bar of bars) {
      if (bar.start < start - 1e-6 || bar.start > end - 1e-6) continue;
      found.push({ bar, beats: beats + bar.start - start });
      if (found.length === count) return found;
    }
    beats += end - start;
  }
  return found;
}

/** Cut spans into slices of at most one beat, at whole beats: `{span, start, end}`. */
export function* slices(spanSource) {
  for (const span of spanSource) {
    let start = span.start;
    while (start < span.end - 1e-6) {
      const end = Math.min(Math.floor(start + 1e-6) + 1, span.end);
      yield { span, start, end };
      start = end;
    }
  }
}
