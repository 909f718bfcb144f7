/**
 * Planned notes on Web Audio: a band with a level for each part, a room and a master level.
 *
 * The same graph sounds in any context, live or offline.
 */

import { makePlanner } from "./planner.mjs";

/** How far ahead of the clock notes are handed over, seen and unseen (browsers slow timers). */
export const LOOKAHEAD_S = 0.4;
export const HIDDEN_LOOKAHEAD_S = 3;
const TICK_MS = 60;
const START_AFTER_S = 0.15;
const LEVEL_GLIDE_S = 0.02;
const STOP_FADE_S = 0.03;
const JUMP_AFTER_S = 0.03;
const SHORTEST_S = 0.005;

/** Build the mixing desk: one seat for every part and place, some of each sent to the room. */
export function makeDesk(context, mix, sounds) {
  const master = context.createGain();
  master.gain.value = mix.master;
  master.connect(context.destination);
  const room = context.createConvolver();
  room.normalize = false;
  room.buffer = sounds.room;
  const roomLevel = context.createGain();
  // the response sounds alike at any rate when its samples, summed, weigh the same
  roomLevel.gain.value = mix.room / context.sampleRate;
  room.connect(roomLevel).connect(master);
  const parts = new Map();
  const seats = mix.seats.map(([part, level, pan, send]) => {
    if (!parts.has(part)) parts.set(part, []);
    const input = context.createGain();
    const dry = context.createGain();
    const panner = context.createStereoPanner();
    const wet = context.createGain();
    dry.gain.value = level;
    panner.pan.value = pan;
    wet.gain.value = send;
    input.connect(dry).connect(panner).connect(master);
    input.connect(wet).connect(room);
    parts.get(part).push(input);
    return input;
  });
  return { master, parts, seats };
}

/** Start one planned note; a note still sounding on the same string is stopped first. */
export function soundNote(context, desk, sounds, mix, note, voices) {
  const { start, length, damp, buffer } = sounds.notes[note.sound];
  const source = context.createBufferSource();
  source.buffer = buffer || sounds.buffer;
  const gain = context.createGain();
  gain.gain.setValueAtTime(note.gain, 0);
  source.connect(gain).connect(desk.seats[note.seat]);
  for (const [after, semitones] of note.bends) {
    const rate = 2 ** (semitones / 12);
    if (after <= 0) source.playbackRate.setValueAtTime(rate, note.time);
    else source.playbackRate.exponentialRampToValueAtTime(rate, note.time + after);
  }
  const voice = { source, gain, damp, level: note.gain, end: Infinity };
  const string = note.string < 0 ? null : `${note.part} ${note.string}`;
  const before = string && voices.byString.get(string);
  if (before && before.end > note.time) release(before, note.time, before.damp * mix.restrike);
  if (string) voices.byString.set(string, voice);
  source.start(note.time, start, length);
  release(voice, Math.max(note.end, note.time + SHORTEST_S), damp);
  voices.sounding.add(voice);
  source.onended = () => voices.sounding.delete(voice);
  return voice;
}

/** Fade a voice from `end` on; never later than a fade already set. */
function release(voice, end, fade) {
  voice.end = end;
  voice.gain.gain.cancelScheduledValues(end);
  voice.gain.gain.setValueAtTime(voice.level, end);
  voice.gain.gain.linearRampToValueAtTime(0, end + fade);
  voice.source.stop(end + fade + 0.01);
}

/**
 * The live player. `levels` maps a part to 0 to 1 (muted parts at 0), `master` likewise;
 * `onPlan` hears of each beat as it is planned, `onUnplan` of the moment from which beats are
 * planned anew, `onEnd` of the end of the tune. It keeps time at once; notes sound as soon as
 * `join` has brought the sounds: `notes` with a `buffer` of their own, or all in one.
 */
export function makePlayer(context, tune, choice, { onPlan, onUnplan, onEnd }) {
  const planner = makePlanner(tune, choice);
  const voices = { byString: new Map(), sounding: new Set() };
  const levels = new Map();
  let masterLevel = 1;
  let desk = null;
  let sounds = null;
  let timer = null;
  let over = false;
  let steps = [];

  /** Take the sounds when they are there. */
  function join(loaded) {
    sounds = loaded;
    desk = makeDesk(context, tune.mix, sounds);
    setMaster(masterLevel, 0);
    for (const [part, level] of levels) setLevel(part, level, 0);
  }

  function sound(planned) {
    if (!sounds) return [];
    return planned.notes.filter((note) => note.time > context.currentTime).map((note) => (
      soundNote(context, desk, sounds, tune.mix, note, voices)));
  }

  function fill() {
    const ahead = document.hidden ? HIDDEN_LOOKAHEAD_S : LOOKAHEAD_S;
    while (!over && planner.time < context.currentTime + ahead) {
      if (planner.time < context.currentTime) planner.catchUp(context.currentTime + START_AFTER_S);
      const planned = planner.next();
      if (planned === null) over = true;
      else {
        steps.push({ planned, voices: sound(planned) });
        onPlan(planned);
      }
    }
    while (steps.length > 2 && steps[1].planned.time < context.currentTime) steps.shift();
    if (over && context.currentTime > planner.time) {
      stopTimer();
      onEnd();
    }
  }

  function stopTimer() {
    clearInterval(timer);
    timer = null;
  }

  /** Start at a moment of the context's clock. */
  function start(at = context.currentTime + START_AFTER_S) {
    stop();
    over = false;
    planner.start(at);
    timer = setInterval(fill, TICK_MS);
    fill();
  }

  function silence(voice, now) {
    voice.gain.gain.cancelScheduledValues(now);
    voice.gain.gain.setTargetAtTime(0, now, STOP_FADE_S / 3);
    voice.source.stop(now + STOP_FADE_S * 2);
    voices.sounding.delete(voice);
  }

  function stop() {
    stopTimer();
    steps = [];
    const now = context.currentTime;
    for (const voice of voices.sounding) silence(voice, now);
    voices.sounding.clear();
    voices.byString.clear();
  }

  /** Take back what is planned behind the next bar line that can still be reached. */
  function takeBack() {
    const soonest = context.currentTime + JUMP_AFTER_S;
    const index = steps.findIndex(({ planned }, at) => (
      at > 0 && planned.time > soonest && planned.bar && planned.from < planned.bar.start + 1e-6));
    if (index < 0) return;
    const before = steps[index - 1].planned;
    const { time } = steps[index].planned;
    for (const step of steps.splice(index)) {
      for (const voice of step.voices) {
        voice.source.onended = null;
        voice.source.stop();
        voices.sounding.delete(voice);
        for (const [string, other] of voices.byString) if (other === voice) voices.byString.delete(string);
      }
    }
    planner.rewind(before, time);
    over = false;
    onUnplan(time);
  }

  /** Plan no further than the next bar line that can still be reached; what sounds rings on. */
  function leave() {
    takeBack();
    stopTimer();
  }

  /** Go to a place with the next bar line. */
  function jump(place) {
    takeBack();
    over = false;
    planner.jump(place);
  }

  /** Take a changed plan with the next bar line. */
  function replan() {
    takeBack();
    planner.replan();
  }

  function setLevel(part, level, glide = LEVEL_GLIDE_S) {
    levels.set(part, level);
    if (!desk) return;
    for (const seat of desk.parts.get(part) || []) {
      if (glide) seat.gain.setTargetAtTime(level, context.currentTime, glide);
      else seat.gain.value = level;
    }
  }

  function setMaster(level, glide = LEVEL_GLIDE_S) {
    masterLevel = level;
    if (!desk) return;
    if (glide) desk.master.gain.setTargetAtTime(level * tune.mix.master, context.currentTime, glide);
    else desk.master.gain.value = level * tune.mix.master;
  }

  function onSight() {
    if (timer !== null) fill();
  }

  /** Let go of the desk for good, once nothing sounds on it. */
  function close() {
    stop();
    document.removeEventListener("visibilitychange", onSight);
    if (desk) desk.master.disconnect();
  }

  document.addEventListener("visibilitychange", onSight);

  return {
    join, start, stop, leave, close, jump, setLevel, setMaster, replan,
    get playing() { return timer !== null; },
    get sounding() { return sounds !== null; },
  };
}
