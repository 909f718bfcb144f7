/** What is ticked on the lesson's sheet, and the order made from it. */

import { make } from "../dom.mjs";

/** The lesson's sheet: what the student gets, for whom, and this week's task. */
export function lessonSheet(body, groups, seen, onMake) {
  const bars = seen.bars.length;
  const ticks = groups.map(groupTick);
  const student = make("input", { type: "text", maxlength: 60, autocomplete: "off" });
  const format = make("select", {}, ...["mp3", "wav", "flac", "ogg"].map((word) => make("option", {}, word)));
  const from = make("input", { type: "number", min: 1, max: bars });
  const to = make("input", { type: "number", min: 1, max: bars });
  const tempo = make("input", { type: "number", min: 40, max: 150, step: 5 });
  const chords = make("select", {}, ...[["", "as you like"], ["heard", "heard"], ["softer", "softly"], ["mine", "left to the student"]]
    .map(([value, words]) => make("option", { value }, words)));
  const told = make("p", { role: "status" });
  const meter = make("progress", { max: 1, value: 0, hidden: true, "aria-label": "How much is made" });
  const task = () => [
    from.value ? `bars ${from.value}-${to.value || from.value}` : "",
    tempo.value ? `at ${tempo.value} %` : "",
    chords.value ? `chords ${chords.value}` : "",
  ].filter(Boolean).join(", ");
  const button = make("button", { type: "button", id: "make", class: "play" }, "Make the lesson");
  button.addEventListener("click", async () => {
    button.disabled = true;
    meter.hidden = false;
    meter.value = 0;
    told.textContent = "Making it…";
    try {
      const made = await onMake({
        groups: ticks.filter((tick) => tick.box.checked).map((tick) => tick.box.value),
        tracks: ticks.flatMap((tick) => tick.tracks()),
        student: student.value, format: format.value, task: task(),
      });
      const size = made.bytes > 1e6 ? `${(made.bytes / 1e6).toFixed(1)} MB` : `${Math.ceil(made.bytes / 1e3)} kB`;
      told.replaceChildren(
        `${made.files} files, ${size}, ${made.made} new, in ${made.folder}. `,
        make("a", { href: made.address, target: "_blank", rel: "noopener" }, "Open it"),
        made.failed.length ? ` Not made: ${made.failed.join("; ")}` : "",
      );
    } catch (error) {
      told.textContent = error.message;
    }
    meter.hidden = true;
    button.disabled = false;
  });
  body.replaceChildren(
    make("fieldset", {}, make("legend", {}, "What the student gets"), 
      ...ticks.map((tick) => tick.row)),
    make("div", { class: "fields" },
      make("label", {}, "For (a name) ", student), make("label", {}, "Sound files as ", format)),
    make("fieldset", { class: "fields" }, make("legend", {}, "This week's task (may stay empty)"),
      make("label", {}, "From bar ", from), make("label", {}, "to bar ", to),
      make("label", {}, "at % of the tempo ", tempo), make("label", {}, "chords ", chords)),
    button, meter, told,
  );
  return { progress: (share) => { meter.value = share; } };
}

/** A heading to tick and, under it, its tracks: each at a tempo and in a mix. */
function groupTick(group) {
  const box = make("input", { type: "checkbox", checked: true, disabled: group.always, value: group.name });
  const tracks = group.tracks.map((track) => (
    { ...track, box: make("input", { type: "checkbox", checked: track.ticked }) }));
  const tempo = (share) => (share === 1 ? "at the tempo" : `at ${Math.round(100 * share)} %`);
  box.addEventListener("change", () => {
    for (const track of tracks) track.box.checked = box.checked && track.ticked;
  });
  for (const track of tracks) {
    track.box.addEventListener("change", () => { box.checked = tracks.some((each) => each.box.checked); });
  }
  const words = make("span", {}, make("b", {}, group.name), ` ${group.words}`);
  return {
    box,
    row: make("div", {}, make("label", { class: "tick" }, box, words), ...tracks.map((track) => (
      make("label", { class: "tick track" }, track.box, `${tempo(track.share)}, ${track.words}`)))),
    tracks: () => tracks.filter((track) => track.box.checked).map((track) => [track.share, track.mix]),
  };
}
