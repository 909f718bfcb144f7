/** The band's notes as audio buffers, fetched once each as plain samples. */

export function makeBank() {
  const notes = [];
  let room = null;
  let rate = 32000;
  let fetching = Promise.resolve();

  /** See that the first `count` sounds are here. */
  function need(count) {
    if (notes.length >= count && room) return Promise.resolve();
    fetching = fetching.catch(() => {}).then(() => (
      notes.length >= count && room ? null : load(notes.length)));
    return fetching;
  }

  async function load(first) {
    const answer = await fetch(`sounds/${first}`);
    if (!answer.ok) throw new Error("the sounds could not be fetched");
    const data = await answer.arrayBuffer();
    const length = new DataView(data).getUint32(0, true);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, length)));
    rate = head.rate;
    let at = 4 + length;
    const piece = (frames) => {
      const samples = new Float32Array(data, at, frames);
      at += 4 * frames;
      return samples;
    };
    if (head.room) {
      room = new AudioBuffer({ length: head.room, sampleRate: rate, numberOfChannels: 2 });
      room.copyToChannel(piece(head.room), 0);
      room.copyToChannel(piece(head.room), 1);
    }
    head.lengths.forEach((frames, index) => {
      const buffer = new AudioBuffer({ length: Math.max(1, frames), sampleRate: rate });
      buffer.copyToChannel(piece(frames), 0);
      notes[head.first + index] = {
        buffer, start: 0, length: frames / rate, damp: head.damps[index],
      };
    });
  }

  return { need, get rate() { return rate; }, get sounds() { return { notes, room }; } };
}
