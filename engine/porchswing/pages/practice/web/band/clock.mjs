/**
 * Beats to seconds: the same sums as `rhythm/swing.py` and `rhythm/tempo.py`, at any speed.
 *
 * A clock record has `segments` ([start in beats, microseconds of a quarter, swing ratio,
 * tempo the ratio follows or null, quarters a minute]), `unit` (the beat whose halves swing, in quarters), `feel`
 * (how far the parts swing apart), `curves` (swing ratio by tempo for each kind of player:
 * `from`, `step` in quarters a minute, and rows of ratios) and `players` (part to curve).
 *
 * A feeling is `{speed, ratio}`: speed 1 as written; `ratio` null follows the chart.
 */

const TINY = 1e-7;

/** Where a place inside the beat is played: 0 and 1 stay, 1/2 goes to r / (r + 1). */
export function swingFraction(fraction, ratio) {
  const offbeat = ratio / (ratio + 1);
  if (fraction <= 0.5) return 2 * fraction * offbeat;
  return offbeat + (2 * fraction - 1) * (1 - offbeat);
}

/** The written place inside the beat that is played at `fraction`: the way back. */
export function unswung(fraction, ratio) {
  const offbeat = ratio / (ratio + 1);
  if (fraction <= offbeat) return fraction / (2 * offbeat);
  return 0.5 + (fraction - offbeat) / (2 * (1 - offbeat));
}

/** The ratio players choose at a tempo: linear between the points of a curve. */
export function autoRatio(curves, player, quarterBpm) {
  const row = curves.rows[player];
  const place = (quarterBpm - curves.from) / curves.step;
  if (place <= 0) return row[0];
  if (place >= row.length - 1) return row[row.length - 1];
  const left = Math.floor(place);
  return row[left] + (place - left) * (row[left + 1] - row[left]);
}

/** One part's own ratio when the tune swings at `ratio`; the distance is kept in log ratio. */
export function partRatio(clock, ratio, quarterBpm, part) {
  const ride = autoRatio(clock.curves, clock.players.drums, quarterBpm);
  if (clock.feel === 0 || ratio <= 1 || ride <= 1) return ratio;
  const player = clock.players[part] || clock.players.drums;
  const own = Math.log(autoRatio(clock.curves, player, quarterBpm)) / Math.log(ride);
  return ratio ** (1 + clock.feel * (own - 1));
}

/** Make the clock of a tune. */
export function makeClock(clock) {
  const table = [];
  for (const [start, us] of clock.segments) {
    const last = table[table.length - 1];
    const at = last ? last.at + ((start - last.start) * last.us) / 1e6 : (start * us) / 1e6;
    table.push({ start, us, at });
  }

  function indexAt(beats) {
    let index = table.length - 1;
    while (index > 0 && table[index].start > beats + TINY) index -= 1;
    return index;
  }

  /** Quarters a minute at a beat, at a speed. */
  function quarterBpm(beats, speed) {
    return clock.segments[indexAt(beats)][4] * speed;
  }

  /** The swing ratio of the tune at a beat. */
  function ratioAt(beats, feeling) {
    if (feeling.ratio !== null) return feeling.ratio;
    const [, , ratio, followed] = clock.segments[indexAt(beats)];
    if (followed === null || feeling.speed === 1) return ratio;
    return autoRatio(clock.curves, clock.players.drums, followed * feeling.speed);
  }

  /** The performed beat of a written one; `even` holds beats the part plays as written. */
  function warp(beats, part, even, feeling) {
    const place = beats / clock.unit;
    const beat = Math.floor(place + TINY);
    const inside = Math.max(0, place - beat);
    if (inside < TINY || even.has(beat)) return beats;
    const ratio = partRatio(
      clock, ratioAt(beats, feeling), quarterBpm(beats, feeling.speed), part,
    );
    return ratio === 1 ? beats : clock.unit * (beat + swingFraction(inside, ratio));
  }

  /** Seconds at speed 1 of a performed beat; beat 0 is at 0. */
  function seconds(beats) {
    const row = table[indexAt(beats)];
    return row.at + ((beats - row.start) * row.us) / 1e6;
  }

  return { quarterBpm, ratioAt, warp, seconds };
}
