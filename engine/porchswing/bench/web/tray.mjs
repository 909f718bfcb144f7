/**
 * The tray: what could stand at the chord that was touched, each offer heard in its place.
 *
 * A list with one offer picked: picking it plays it, round and round, two bars before and one
 * after. One key goes back and forth between what stands there and the offer.
 */

import { drawing, make } from "./dom.mjs";

const KINDS = [["swap", "Other chords"], ["grip", "Other grips"], ["mark", "Ways to play it"]];

export function makeTray(root, { ask, band, bank, state, onTake, onClose, say }) {
  let place = null;
  let kind = "swap";
  let rows = [];
  let picked = 0;
  let isOffer = true;
  let heard = new Map();
  let opened = 0;
  let list = null;

  async function open(newPlace, newKind = kind) {
    place = newPlace;
    kind = state.lane() === "plain" && newKind === "swap" ? "grip" : newKind;
    heard = new Map();
    picked = 0;
    opened += 1;
    const own = opened;
    root.hidden = false;
    document.body.classList.add("with-tray");
    root.replaceChildren(make("p", {}, "Looking…"));
    let answer;
    try {
      answer = await ask("offers", { ...state.asked(), place, kind });
    } catch (error) {
      answer = { offers: [], chord: "", plain: [], why: [], writes: error.message };
    }
    if (own !== opened || answer.stale) return;
    rows = answer.offers;
    draw(answer);
    state.onDrawn();
    prefetch(own);
  }

  /** Make every offer ready to be heard, one after another, the likeliest first. */
  async function prefetch(own) {
    for (let number = 1; number < rows.length; number += 1) {
      if (own !== opened) return;
      try {
        await fetchOffer(number);
      } catch { /* said when it is picked */ }
    }
  }

  function fetchOffer(number) {
    if (!heard.has(number)) {
      const { text, controls } = state.asked();
      const promise = ask("hear offer", { text, controls, place, kind, number })
        .then(async (answer) => { await bank.need(answer.sounds); return answer.tune; });
      const kept = { promise, tune: null };
      const own = opened;
      promise.then((tune) => {
        kept.tune = tune;
        if (own === opened) root.querySelector(`#offer-${number}`)?.classList.add("ready");
      }, () => heard.delete(number));
      heard.set(number, kept);
    }
    return heard.get(number).promise;
  }

  function draw(answer) {
    const [section, bar] = place;
    const number = state.barNumber(section, bar);
    list = make("ul", {
      class: "offers", role: "listbox", tabindex: 0, "aria-label": KINDS.find(([own]) => own === kind)[1],
      onkeydown: keys,
    }, ...rows.map(card));
    const why = answer.why.map((swap) => (
      make("p", { class: "why" }, make("b", {}, `${swap.name}: `), swap.reason, ` Listen: ${swap.listen}.`)));
    root.replaceChildren(
      make("div", { class: "tray-head" },
        make("h2", { id: "tray-title" }, answer.chord || "No chord",
          make("small", {}, ` ${answer.numeral || ""} · bar ${number} · plain ${answer.plain.join(" ")}`)),
        make("div", { class: "kinds", role: "group", "aria-label": "What to change" },
          ...KINDS.map(([own, words]) => make("button", {
            type: "button", "aria-pressed": String(own === kind), disabled: own === "swap" && state.lane() === "plain",
            onclick: () => open(place, own).then(() => list && list.focus()),
          }, words))),
        make("button", { type: "button", class: "close", onclick: close }, "Close ", make("kbd", {}, "esc"))),
      ...why,
      rows.length ? list : make("p", {}, answer.writes || "Nothing else could stand here."),
      make("div", { class: "tray-foot" },
        make("button", { type: "button", id: "both", "aria-pressed": "false", onclick: (e) => back(e.timeStamp) },
          make("span", { id: "both-words" }, "as it is, or the offer"), " ", make("kbd", {}, "B")),
        make("button", { type: "button", id: "take", onclick: take }, "Take it ", make("kbd", {}, "enter")),
        make("p", { class: "writes" }, answer.writes)),
    );
    mark();
  }

  function card(offer, number) {
    const chords = offer.bars.length ? offer.bars[0][1].join(" ") : offer.name;
    const more = offer.bars.slice(1).map(([bar, symbols]) => `bar ${bar}: ${symbols.join(" ")}`);
    const facts = [
      offer.depth !== null ? `depth ${offer.depth}` : "",
      offer.stays.length ? `keeps ${offer.stays.join(" ")}` : "",
      offer.melody ? `tune: ${offer.melody}` : "",
      ...more,
    ].filter(Boolean);
    const work = [["before", offer.before, offer.before_ms], ["after", offer.after, offer.after_ms]]
      .filter(([, words]) => words)
      .map(([when, words, ms]) => make("span", { class: "work" }, `${when}: ${words}`,
        ms === null ? "" : `, about ${Math.round(ms)} ms`));
    return make("li", {
      role: "option", id: `offer-${number}`, class: offer.fits ? "offer" : "offer misfit",
      "aria-selected": "false",
      onclick: (event) => { pick(number, event.timeStamp); list.focus(); },
    },
    offer.drawn ? drawing(offer.drawn) : "",
    make("span", { class: "offer-words" },
      make("b", {}, chords),
      make("span", { class: "name" }, offer.now ? "as it is" : offer.bars.length ? offer.name : ""),
      make("span", { class: "reason" }, offer.reason),
      ...work,
      facts.length ? make("span", { class: "facts" }, facts.join(" · ")) : ""));
  }

  function mark() {
    root.querySelectorAll("[role=option]").forEach((item, number) => {
      item.setAttribute("aria-selected", String(number === picked));
      if (number === picked) item.scrollIntoView({ block: "nearest" });
    });
    if (list) list.setAttribute("aria-activedescendant", `offer-${picked}`);
    const both = root.querySelector("#both");
    if (!both) return;
    const able = picked > 0;
    both.disabled = !able;
    root.querySelector("#take").disabled = !able;
    both.setAttribute("aria-pressed", String(able && isOffer));
    root.querySelector("#both-words").textContent = !able ? "as it is, or the offer"
      : isOffer ? "you hear the offer" : "you hear it as it is";
  }

  /** Pick an offer and hear it at once. */
  async function pick(number, pressed) {
    if (number < 0 || number >= rows.length) return;
    picked = number;
    isOffer = number > 0;
    mark();
    const own = opened;
    const wanted = number || 1;
    const ready = heard.get(wanted);
    try {
      const tune = ready && ready.tune ? ready.tune : await fetchOffer(wanted);
      if (own === opened && picked === number) sound(tune, pressed);
    } catch (error) {
      say(error.message);
    }
  }

  function sound(tune, pressed) {
    const last = tune.bars[tune.bars.length - 1].place;
    band.play(tune, { lane: isOffer ? "offer" : "now", start: 0, from: 0, to: last }, pressed);
  }

  /** Go back and forth: the bar that sounds begins again, the other way. */
  function back(pressed) {
    if (picked === 0) return;
    const ready = heard.get(picked);
    if (!ready || !ready.tune) return;
    const wasPlaying = band.playing && band.tune === ready.tune;
    isOffer = wasPlaying ? !isOffer : true;
    mark();
    const start = wasPlaying ? band.placeNow() || 0 : 0;
    const last = ready.tune.bars[ready.tune.bars.length - 1].place;
    band.play(ready.tune, { lane: isOffer ? "offer" : "now", start, from: 0, to: last }, pressed);
  }

  function keys(event) {
    const to = { ArrowDown: picked + 1, ArrowUp: picked - 1, ArrowRight: picked + 1, ArrowLeft: picked - 1, Home: 0, End: rows.length - 1 };
    if (event.key in to) {
      event.preventDefault();
      pick(to[event.key], event.timeStamp);
    } else if (/^[1-9]$/.test(event.key)) {
      pick(Number(event.key), event.timeStamp);
    } else if (event.key === "Enter") {
      event.preventDefault();
      take();
    }
  }

  async function take() {
    if (picked === 0) return;
    const offer = rows[picked];
    const number = picked;
    const own = opened;
    const isWritten = await onTake({ place, kind, number, offer });
    if (isWritten && own === opened) close();
  }

  function close() {
    if (root.hidden) return;
    opened += 1;
    root.hidden = true;
    document.body.classList.remove("with-tray");
    heard = new Map();
    onClose();
  }

  return {
    open, close, back,
    focus: () => { if (list) list.focus(); },
    get isOpen() { return !root.hidden; },
    get place() { return place; },
    get kind() { return kind; },
  };
}
