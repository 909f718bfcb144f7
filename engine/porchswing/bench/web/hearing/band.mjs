/**
 * The band: one tune at a time, played by the practice page's own player.
 *
 * A new version of what plays takes over at the next bar line; one that is asked for by a key
 * begins at once.
 */

import { makePlayer } from "../band/player.mjs";

/** How soon after the key the first note is scheduled. */
export const SOON_S = 0.03;
const RING_MS = 400;

export function makeBand(bank, { onBeat, onStop, onStart }) {
  const levels = new Map();
  let master = 1;
  let context = null;
  let player = null;
  let tune = null;
  let choice = null;
  let planned = [];
  let next = null;

  function ready() {
    if (!context) context = new AudioContext({ sampleRate: bank.rate, latencyHint: "interactive" });
    if (context.state === "suspended") context.resume();
    return context;
  }

  function build(newTune, newChoice) {
    const made = makePlayer(context, newTune, newChoice, {
      onPlan: (beat) => hear(made, beat),
      onUnplan: (time) => { if (made === player) planned = planned.filter((b) => b.time < time - 1e-6); },
      onEnd: () => { if (made === player) stop(); },
    });
    made.join(bank.sounds);
    for (const [part, level] of levels) made.setLevel(part, level, 0);
    made.setMaster(master, 0);
    return made;
  }

  function hear(from, beat) {
    if (from !== player) return;
    planned.push(beat);
    const isBarLine = beat.bar && beat.from < beat.bar.start + 1e-6;
    if (next && isBarLine && planned.length > 1) queueMicrotask(() => takeOver(beat));
  }

  function takeOver(beat) {
    if (!next || !player) return;
    const { newTune, newChoice } = next;
    next = null;
    const place = newTune.bars.find((bar) => (
      bar.section === beat.bar.section && bar.bar === beat.bar.bar
      && (newTune !== tune || bar.place === beat.bar.place)));
    const old = player;
    old.leave();
    planned = planned.filter((other) => other.time < beat.time - 1e-6);
    begin(newTune, { ...newChoice, start: place ? samePlace(newTune, beat.bar, place) : 0 }, beat.time);
    setTimeout(old.close, RING_MS + (beat.time - context.currentTime) * 1000);
  }

  /** The place of a bar in another version of the tune: the same one where it is still there. */
  function samePlace(newTune, bar, first) {
    const same = newTune.bars.find((other) => (
      other.place === bar.place && other.section === bar.section && other.bar === bar.bar));
    return (same || first).place;
  }

  function begin(newTune, newChoice, at) {
    tune = newTune;
    choice = {
      mode: "along", choruses: 1, countIn: "none", speed: 1, ratio: null, from: null, to: null,
      start: 0, ...newChoice,
    };
    player = build(tune, choice);
    player.start(at);
  }

  /** Begin at once; `pressed` is the time stamp of the key or touch that asked for it. */
  function play(newTune, newChoice, pressed = null) {
    ready();
    halt();
    begin(newTune, newChoice, context.currentTime + SOON_S);
    onStart();
    requestAnimationFrame(draw);
    if (pressed !== null) {
      const latency = (context.outputLatency || 0) * 1000;
      const ms = performance.now() - pressed + SOON_S * 1000 + latency;
      window.dispatchEvent(new CustomEvent("porchswing:sound", { detail: { ms } }));
    }
  }

  /** Let a new version take over at the next bar line. */
  function follow(newTune, newChoice) {
    if (player) next = { newTune, newChoice };
  }

  function halt() {
    next = null;
    planned = [];
    if (!player) return;
    const old = player;
    player = null;
    old.stop();
    setTimeout(old.close, RING_MS);
  }

  function stop() {
    if (!player) return;
    halt();
    onStop();
  }

  function draw() {
    if (!player) return;
    requestAnimationFrame(draw);
    const now = context.currentTime - (context.outputLatency || 0);
    while (planned.length > 1 && planned[1].time <= now) planned.shift();
    const beat = planned[0];
    if (!beat || beat.time > now) return;
    const share = Math.min(1, (now - beat.time) / beat.seconds);
    onBeat(beat, beat.from + share * (beat.to - beat.from));
  }

  /** The place in the tune that sounds now. */
  function placeNow() {
    const beat = planned.find((other) => other.bar);
    return beat ? beat.bar.place : null;
  }

  function setLevel(part, level) {
    levels.set(part, level);
    if (player) player.setLevel(part, level);
  }

  function setMaster(level) {
    master = level;
    if (player) player.setMaster(level);
  }

  return {
    ready, play, follow, stop, setLevel, setMaster, placeNow,
    setLane: (lane) => { if (choice) choice.lane = lane; },
    setLoop: (from, to) => {
      if (!choice) return;
      Object.assign(choice, { from, to });
      if (player) player.replan();
    },
    get playing() { return player !== null; },
    get tune() { return tune; },
    get lane() { return choice ? choice.lane : null; },
  };
}
