/* Where an evening stands: pure arithmetic in milliseconds and whole minutes, no clock and no screen.

   A plan is what the page carries: { starts, segments: [{ minutes, least, most, giveWay, figure, kind }] }.
   `starts` is a moment in milliseconds. A run is what somebody has touched, null before the first touch:
   { at, since, minutes, done, ends }. at: the segment that runs now, as many as there are once all are done;
   since: when it began; minutes: what each is to take, 0 for one that was left out; done: for each that is
   over { took, skipped }, took in milliseconds; ends: when the lesson is to end, only where that is another
   time than planned. Every function gives a new run and changes none.

   A clock on the screen drops the seconds, so whatever is counted in minutes drops them first as well: then
   hours and minutes on the page add up. */

export const MINUTE = 60_000;
/* A segment left within this time was not taught. */
const BEGUN = 2 * MINUTE;
/* Clock and finger at the same moment mean the same step. */
const TOGETHER = 15_000;
/* Begun earlier than this, or when it should be over already, a lesson is held at another hour: it keeps its
   length, and its end moves with its start. */
const ANOTHER_HOUR = 15 * MINUTE;

export function planned(plan) {
  return plan.segments.map((segment) => segment.minutes);
}

export function planEnds(plan) {
  return plan.starts + sum(planned(plan)) * MINUTE;
}

function lessonEnds(plan, run) {
  return run?.ends ?? planEnds(plan);
}

/* The moment as a clock without seconds shows it. */
function onTheMinute(moment) {
  return Math.floor(moment / MINUTE) * MINUTE;
}

/* { phase, at, since, until, left, follows }: phase "before", "on" or "after"; left: until the segment's
   end, negative when it is over its time; follows: nobody has touched anything, the clock leads. */
export function stand(plan, run, now) {
  if (run) return touchedStand(plan, run, now);
  let since = plan.starts;
  if (now < since) return { phase: "before", at: 0, since, until: since, left: since - now, follows: true };
  for (let at = 0; at < plan.segments.length; at += 1) {
    const until = since + plan.segments[at].minutes * MINUTE;
    if (now < until) return { phase: "on", at, since, until, left: until - now, follows: true };
    since = until;
  }
  return { phase: "after", at: plan.segments.length, since, until: since, left: 0, follows: true };
}

function touchedStand(plan, run, now) {
  if (run.at >= plan.segments.length) {
    return { phase: "after", at: run.at, since: run.since, until: run.since, left: 0, follows: false };
  }
  const until = run.since + run.minutes[run.at] * MINUTE;
  return { phase: "on", at: run.at, since: run.since, until, left: until - now, follows: false };
}

/* The first touch: what the clock has led through until now counts as done as planned. */
export function taken(plan, run, now) {
  if (run) return run;
  const stood = stand(plan, null, now);
  if (stood.phase === "before") return begin(plan, now);
  const done = plan.segments.slice(0, stood.at).map(({ minutes }) => ({ took: minutes * MINUTE, skipped: false }));
  return { at: stood.at, since: stood.since, minutes: planned(plan), done };
}

/* Begins the evening now, early or late. */
export function begin(plan, now) {
  const run = { at: 0, since: now, minutes: planned(plan), done: [] };
  if (now >= plan.starts - ANOTHER_HOUR && now < planEnds(plan)) return run;
  return { ...run, ends: onTheMinute(now) + planEnds(plan) - plan.starts };
}

export function next(plan, run, now, skipped = false) {
  const from = taken(plan, run, now);
  if (from.at >= plan.segments.length) return from;
  if (!run && !skipped && from.at > 0 && now - from.since < TOGETHER) return from;
  const done = [...from.done, { took: now - from.since, skipped }];
  let at = from.at + 1;
  for (; at < plan.segments.length && from.minutes[at] === 0; at += 1) done.push({ took: 0, skipped: true });
  return { ...from, at, since: now, done };
}

export function skip(plan, run, now) {
  return next(plan, run, now, true);
}

export function more(plan, run, now, extra) {
  const from = taken(plan, run, now);
  return { ...from, minutes: from.minutes.map((minutes, at) => (at === from.at ? minutes + extra : minutes)) };
}

/* Which segment comes after the one that runs, or null. */
export function following(plan, run, at) {
  const minutes = run ? run.minutes : planned(plan);
  for (let place = at + 1; place < minutes.length; place += 1) if (minutes[place] > 0) return place;
  return null;
}

/* When each segment to come begins, as things stand: place -> moment. */
export function beginnings(plan, run, now) {
  const stood = stand(plan, run, now);
  const minutes = run ? run.minutes : planned(plan);
  const found = new Map();
  let moment = stood.phase === "before" ? stood.until : Math.max(now, stood.until);
  const first = stood.phase === "before" ? 0 : stood.at + 1;
  for (let at = first; at < minutes.length; at += 1) {
    if (minutes[at] === 0) continue;
    found.set(at, moment);
    moment += minutes[at] * MINUTE;
  }
  return found;
}

/* The evening as a list shows it: for each segment { starts, minutes, skipped }. What is over or runs has the
   moment at which it really began and the minutes it took or takes; one left out has 0 and no start. */
export function listed(plan, run, now) {
  if (!run) return plan.segments.map(({ minutes }, at) => ({ starts: plannedStart(plan, at), minutes, skipped: false }));
  const stood = stand(plan, run, now);
  const coming = beginnings(plan, run, now);
  let starts = run.since - sum(run.done.map(({ took }) => took));
  return run.minutes.map((minutes, at) => {
    if (at > run.at) return { starts: coming.get(at) ?? null, minutes, skipped: minutes === 0 };
    const { took, skipped } = run.done[at] ?? { took: Math.max(now, stood.until) - run.since, skipped: false };
    const row = { starts, minutes: (onTheMinute(starts + took) - onTheMinute(starts)) / MINUTE, skipped };
    starts += took;
    return row;
  });
}

function plannedStart(plan, at) {
  return plan.starts + sum(planned(plan).slice(0, at)) * MINUTE;
}

/* Whole minutes by which the lesson would end late (early where negative), as things stand. */
export function carried(plan, run, now) {
  if (!run || run.at >= plan.segments.length) return 0;
  const rest = sum(run.minutes.slice(run.at + 1)) * MINUTE;
  const ends = Math.max(now, run.since + run.minutes[run.at] * MINUTE) + rest;
  return (onTheMinute(ends) - lessonEnds(plan, run)) / MINUTE;
}

/* What is still to come, fitted into what is left of the lesson: { minutes, leftOut }, places left out;
   null where nothing is carried or nothing can be done about it. */
export function refit(plan, run, now) {
  if (carried(plan, run, now) === 0) return null;
  const coming = [];
  for (let at = run.at + 1; at < run.minutes.length; at += 1) if (run.minutes[at] > 0) coming.push(at);
  if (!coming.length) return null;
  const from = Math.max(now, run.since + run.minutes[run.at] * MINUTE);
  const room = Math.max(0, (lessonEnds(plan, run) - onTheMinute(from)) / MINUTE);
  const fitted = fit(coming.map((at) => plan.segments[at]), room);
  const minutes = [...run.minutes];
  coming.forEach((at, place) => (minutes[at] = fitted[place]));
  return { minutes, leftOut: coming.filter((at) => minutes[at] === 0) };
}

/* Exactly `room` minutes over the segments, the squares of what each gives or takes as small as can be;
   of equals the earlier one gets more. Too much: what gives way first gets nothing. Too little: the
   practice takes the rest, else the last. */
export function fit(segments, room) {
  const out = givingWay(segments, room);
  const minutes = segments.map(({ least }, at) => (out.has(at) ? 0 : least));
  const open = segments.map((_, at) => at).filter((at) => !out.has(at));
  if (!open.length) return minutes;
  const stretch = open.find((at) => segments[at].kind === "practice") ?? open.at(-1);
  for (let rest = room - sum(minutes); rest > 0; rest -= 1) {
    let best = null;
    for (const at of open) {
      if (minutes[at] >= segments[at].most) continue;
      if (best === null || given(segments, minutes, at) < given(segments, minutes, best)) best = at;
    }
    minutes[best ?? stretch] += 1;
  }
  return minutes;
}

/* Highest giveWay first, of equals the later; what went early is put back where a longer one that had to go
   later makes room for it. */
function givingWay(segments, room) {
  let missing = sum(segments.map(({ least }) => least)) - room;
  const order = segments
    .map((_, at) => at)
    .filter((at) => segments[at].least > 0)
    .sort((one, other) => segments[other].giveWay - segments[one].giveWay || other - one);
  const out = new Set();
  for (const at of order) {
    if (missing <= 0) break;
    out.add(at);
    missing -= segments[at].least;
  }
  for (const at of [...out].reverse()) {
    if (missing + segments[at].least > 0) continue;
    out.delete(at);
    missing += segments[at].least;
  }
  return out;
}

function given(segments, minutes, at) {
  return minutes[at] - segments[at].minutes;
}

/* What the record form may be filled in with: figure -> "not_reached" or "cut". What went as planned is
   not named, and nothing is where nobody touched anything. */
export function became(plan, run, now) {
  const found = new Map();
  if (!run) return found;
  const over = now >= lessonEnds(plan, run) || run.at >= plan.segments.length;
  plan.segments.forEach((segment, at) => {
    if (segment.figure === null) return;
    const fates = found.get(segment.figure) ?? [];
    found.set(segment.figure, [...fates, fate(run, at, over)]);
  });
  return new Map(
    [...found]
      .map(([figure, fates]) => [figure, new Set(fates)])
      .filter(([, fates]) => fates.has("cut") || fates.has("not_reached"))
      .map(([figure, fates]) => [figure, fates.size === 1 ? [...fates][0] : "cut"]),
  );
}

function fate(run, at, over) {
  const was = run.done[at];
  if (was) {
    if (!was.skipped) return "taught";
    return was.took >= BEGUN ? "cut" : "not_reached";
  }
  if (run.minutes[at] === 0) return "not_reached";
  return over && at > run.at ? "not_reached" : "taught";
}

function sum(numbers) {
  return numbers.reduce((whole, number) => whole + number, 0);
}
