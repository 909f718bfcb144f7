/** The sound of the page: one audio context, the sounds made ready ahead, and what interrupts. */

import { makePlayer } from "../band/player.mjs";
import { bytesOf, loadSounds } from "../band/sounds.mjs";

const RATE_HZ = 48000;

/** Wait until the whole page is here. */
function wholePage() {
  if (document.readyState !== "loading") return Promise.resolve();
  return new Promise((resolve) => { document.addEventListener("DOMContentLoaded", resolve, { once: true }); });
}

/** The strip's bytes: text in the page, or a file beside it where the page is part of a site. */
async function readSounds() {
  const { dataset, textContent } = document.getElementById("audio");
  if (!dataset.src) return bytesOf(textContent);
  const response = await fetch(dataset.src);
  if (!response.ok) throw new Error(`the sounds are not there (${response.status})`);
  return new Uint8Array(await response.arrayBuffer());
}

function newContext() {
  try {
    return new AudioContext({ sampleRate: RATE_HZ, latencyHint: "interactive" });
  } catch {
    return new AudioContext(); // a device that has its own mind about rates
  }
}

/**
 * Make the playback of a tune. `on` has `plan`, `unplan` and `end` as the player tells them,
 * `levels` to set them on a new player, and `state` for words about trouble ("" for none).
 */
export function makePlayback(tune, choice, on) {
  let context = null;
  let player = null;
  let wake = null;
  const sounds = wholePage().then(readSounds).then((bytes) => (
    loadSounds(new OfflineAudioContext(1, 1, RATE_HZ), tune.strip, bytes)));
  sounds.catch((error) => on.state(`This browser could not make the sound: ${error.message}`));

  function make() {
    if (navigator.audioSession) navigator.audioSession.type = "playback";
    context = newContext();
    context.addEventListener("statechange", changed);
    player = makePlayer(context, tune, choice, {
      onPlan: on.plan, onUnplan: on.unplan, onEnd: () => { asleep(); on.end(); },
    });
    on.levels(player);
    sounds.then(player.join).then(() => { if (player.playing) on.state(""); }, () => {});
  }

  /** A call or a hidden tab may stop the clock; the tune goes on where it was. */
  function changed() {
    if (!player.playing) return;
    on.state(context.state === "running" ? "" : "Interrupted: touch to go on");
  }

  function wakeUp() {
    if (player && player.playing && context.state !== "running") context.resume().catch(() => {});
  }

  /** Keep the screen awake while the band plays, where the browser can. */
  async function stayAwake() {
    try {
      wake = await navigator.wakeLock.request("screen");
    } catch {
      wake = null; // an older browser, or a phone that saves its battery
    }
  }

  function asleep() {
    if (wake) wake.release();
    wake = null;
    if (navigator.mediaSession) navigator.mediaSession.playbackState = "paused";
  }

  /** Start at the place chosen; with a page still loading, the text plays before the sounds. */
  async function start() {
    if (!context) make();
    const isLoading = document.readyState === "loading" || "src" in document.getElementById("audio").dataset;
    await context.resume();
    if (!player.sounding && isLoading) on.state("The sounds are still on their way");
    else await sounds;
    player.start();
    if (navigator.mediaSession) navigator.mediaSession.playbackState = "playing";
    stayAwake();
  }

  function stop() {
    player.stop();
    asleep();
  }

  document.addEventListener("visibilitychange", () => {
    if (document.hidden || !player || !player.playing) return;
    wakeUp();
    stayAwake();
  });
  document.addEventListener("pointerdown", wakeUp);

  return {
    start, stop, sounds,
    get player() { return player; },
    get playing() { return player !== null && player.playing; },
    /** The moment that is heard now, on the audio clock. */
    heardAt: () => context.currentTime - (context.outputLatency || 0),
  };
}

/** Let a headset's or a lock screen's buttons play and stop, where the browser has them. */
export function offerMediaKeys(tune, { play, stop, back }) {
  if (!navigator.mediaSession) return;
  if (window.MediaMetadata) {
    navigator.mediaSession.metadata = new MediaMetadata({ title: tune.title, artist: tune.by });
  }
  for (const [action, deed] of [["play", play], ["pause", stop], ["stop", stop], ["previoustrack", back]]) {
    try {
      navigator.mediaSession.setActionHandler(action, deed);
    } catch {
      // an action this browser does not have
    }
  }
}
