/* When each count of a chart sounds: pure arithmetic in ticks, no clock and no sound.

   A score is what the page carries: { ticksPerBeat, beatsPerBar, begins, ticks, counts }. `begins`: ticks of
   the bar that have passed when the figure begins (a cha-cha on 2 begins one beat late). Tick 0 of the grid
   is the first beat of the count-in, and always the first of a bar.

   A sound is { tick, kind, row, beat }. kind: "accent" the first beat of a bar, "beat" another beat,
   "off" a count between beats, "held" a beat or count on which nobody moves. row: which count of the score,
   null where none begins. beat: of the bar, from 1, for the count-in; null elsewhere. */

export function barTicks(score) {
  return score.ticksPerBeat * score.beatsPerBar;
}

/* The part from count `first` to count `last`, both played, in ticks of the figure. */
export function partOf(score, first = 0, last = score.counts.length - 1) {
  const after = score.counts[last + 1];
  return { first, last, start: score.counts[first].at, end: after ? after.at : score.ticks };
}

/* One bar of beats, and those of the bar that pass before the part begins. */
export function countIn(score, part) {
  const bar = barTicks(score);
  const length = bar + ((score.begins + part.start) % bar);
  const sounds = [];
  for (let tick = 0; tick < length; tick += score.ticksPerBeat) {
    const beat = (tick % bar) / score.ticksPerBeat + 1;
    sounds.push({ tick, kind: beat === 1 ? "accent" : "beat", row: null, beat });
  }
  return { sounds, length };
}

/* Everything that sounds while the part is danced once, the first of it at `start`. */
export function onePass(score, part, start) {
  const rows = new Map();
  for (let row = part.first; row <= part.last; row += 1) {
    rows.set(start + score.counts[row].at - part.start, row);
  }
  const end = start + part.end - part.start;
  const ticks = new Set(rows.keys());
  const firstBeat = Math.ceil(start / score.ticksPerBeat) * score.ticksPerBeat;
  for (let tick = firstBeat; tick < end; tick += score.ticksPerBeat) ticks.add(tick);
  const sounds = [...ticks]
    .sort((one, other) => one - other)
    .map((tick) => ({ tick, kind: kindAt(score, tick, rows.get(tick)), row: rows.get(tick) ?? null, beat: null }));
  return { sounds, end };
}

/* A bar's first beat is the music's own and sounds whether or not somebody moves on it. */
function kindAt(score, tick, row) {
  if (tick % barTicks(score) === 0) return "accent";
  if (row === undefined || score.counts[row].held) return "held";
  return tick % score.ticksPerBeat === 0 ? "beat" : "off";
}

/* Count-in, then the part again and again, or once. */
export function* soundsOf(score, part, again) {
  const lead = countIn(score, part);
  yield* lead.sounds;
  let start = lead.length;
  do {
    const pass = onePass(score, part, start);
    yield* pass.sounds;
    start = pass.end;
  } while (again());
  yield { tick: start, kind: "end", row: null, beat: null };
}

export function secondsPerTick(score, barsPerMinute, percent = 100) {
  return 60 / (barsPerMinute * (percent / 100) * barTicks(score));
}

/* Ticks to seconds, so that a change of tempo takes hold from a tick on and nothing drifts. */
export class Timeline {
  constructor(startsAt, perTick) {
    this.tick = 0;
    this.time = startsAt;
    this.perTick = perTick;
  }

  at(tick) {
    return this.time + (tick - this.tick) * this.perTick;
  }

  changeFrom(tick, perTick) {
    this.time = this.at(tick);
    this.tick = tick;
    this.perTick = perTick;
  }
}
