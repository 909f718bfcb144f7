/** The tune heard: made when it is needed, played from any bar, round and round, in either lane. */

import { byId, settled } from "../dom.mjs";
import { makeBand } from "./band.mjs";

const HEAR_MS = 250;
const HEARD_CONTROLS = ["depth", "tempo", "swing", "key", "strum", "bass", "drums"];

/** `asked()` is the text with the controls, `isTrayOpen()` says that the band plays an offer. */
export function makeHearing({ ask, asked, bank, boards, controls, isTrayOpen, onTrouble }) {
  let heard = null; // {text, controls, tune}
  let loop = { from: null, to: null };
  const band = makeBand(bank, { onBeat: drawBeat, onStart: started, onStop: stopped });
  const soon = settled(make, HEAR_MS);

  /** Make the tune as it stands; the band goes on in it. */
  async function make() {
    const own = asked();
    try {
      const answer = await ask("hear", own);
      if (answer.stale) return null;
      await bank.need(answer.sounds);
      heard = { ...own, tune: answer.tune };
      if (playsTune()) band.follow(heard.tune, { lane: controls.lane, ...round() });
      return heard.tune;
    } catch (error) {
      onTrouble(error);
      return null;
    }
  }

  const playsTune = () => band.playing && !isTrayOpen() && heard !== null;

  function isCurrent() {
    const own = asked();
    return heard !== null && heard.text === own.text
      && HEARD_CONTROLS.every((name) => heard.controls[name] === own.controls[name]);
  }

  /** The bars played round and round; one bar alone is only where to begin. */
  const round = () => (loop.to === null ? { from: null, to: null } : loop);

  function laneOf(tune) {
    const names = tune.lanes.map((lane) => lane.name);
    return names.includes(controls.lane) ? controls.lane : names[0];
  }

  async function play(pressed = null) {
    if (band.playing) {
      band.stop();
      return;
    }
    band.ready();
    soon.cancel();
    const tune = isCurrent() ? heard.tune : await make();
    if (!tune) return;
    const countIn = loop.from === null || loop.from === 0 ? "once" : "none";
    band.play(tune, { lane: laneOf(tune), start: loop.from ?? 0, countIn, ...round() }, pressed);
  }

  function started() {
    document.body.classList.add("sounding");
    byId("play-words").textContent = "Stop";
  }

  function stopped() {
    document.body.classList.remove("sounding");
    byId("play-words").textContent = "Play";
    boards.showSounding(null, 0);
  }

  function drawBeat(beat, written) {
    if (!beat.bar) return;
    const isTune = band.tune === (heard && heard.tune);
    const place = isTune ? beat.bar.place : boards.placeOf(beat.bar.section, beat.bar.bar);
    boards.showSounding(place, written - beat.bar.start);
  }

  function laneTurned() {
    if (playsTune() && heard.tune.lanes.some((lane) => lane.name === controls.lane)) {
      band.setLane(controls.lane);
    }
  }

  function setLoop(from, to) {
    loop = { from, to };
    showLoop();
    byId("loop-off").hidden = from === null;
  }

  const showLoop = () => boards.showLoop(loop.from, loop.to);

  /** A touched number: where to begin; a second one: round and round; the same one: no more. */
  function touchNumber(place) {
    const isSecond = loop.from !== null && loop.to === null;
    if (isSecond && place === loop.from) setLoop(null, null);
    else if (isSecond) setLoop(Math.min(loop.from, place), Math.max(loop.from, place));
    else setLoop(place, null);
    if (!playsTune()) return;
    if (loop.from !== null && loop.to === null) {
      band.play(heard.tune, { lane: laneOf(heard.tune), start: loop.from });
    } else band.setLoop(round().from, round().to);
  }

  byId("loop-off").addEventListener("click", () => {
    setLoop(null, null);
    band.setLoop(null, null);
  });

  return {
    band, soon, play, laneTurned, touchNumber, showLoop,
    /** What was heard is no longer the tune. */
    forget: () => { heard = null; },
    begin: () => { heard = null; setLoop(null, null); },
  };
}
