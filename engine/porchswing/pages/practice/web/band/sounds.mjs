/**
 * The notes of the band out of one compressed strip.
 *
 * A strip record has `mark` (where the strip's marker peaks, in seconds) and `cuts` ([start,
 * length, damping time] in seconds, one a sound; the last two are the room, left and right);
 * the strip itself is an MP3. Decoders differ in how much silence
 * they leave at the front, so we look for the marker and count from there.
 */

/** How far from its place the marker may have been moved, in seconds. */
export const MARK_REACH_S = 0.15;

/** Turn base64 text into bytes. */
export function bytesOf(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let index = 0; index < text.length; index += 1) bytes[index] = text.charCodeAt(index);
  return bytes;
}

/** Index of the sample where the marker peaks in decoded samples. */
export function findMark(samples, rate, markSeconds) {
  const last = Math.min(samples.length, Math.ceil((markSeconds + MARK_REACH_S) * rate));
  let best = 0;
  for (let index = 1; index < last; index += 1) {
    if (samples[index] > samples[best]) best = index;
  }
  return best;
}

/** Decode the strip: one `buffer`, where its `notes` stand in it, and the `room`'s response. */
export async function loadSounds(context, strip, bytes) {
  const buffer = await context.decodeAudioData(bytes.buffer);
  const samples = buffer.getChannelData(0);
  const rate = buffer.sampleRate;
  const mark = findMark(samples, rate, strip.mark);
  const firstOf = (start) => mark + Math.round((start - strip.mark) * rate);
  const notes = strip.cuts.slice(0, -2).map(([start, length, damp]) => (
    { start: firstOf(start) / rate, length, damp }));
  const [left, right] = strip.cuts.slice(-2).map(([start, length]) => {
    const first = firstOf(start);
    return samples.slice(first, first + Math.max(1, Math.round(length * rate)));
  });
  const room = context.createBuffer(2, left.length, rate);
  room.copyToChannel(left, 0);
  room.copyToChannel(right, 1);
  return { buffer, notes, room };
}
