// The wet line as a function of its plan, what was told and the moment: no clock, no page, no memory.
// Any screen that knows the same plan and the same events draws the same line, so a reload, a sleep and
// a second device need nothing of their own. Times are milliseconds; the plan's are seconds.
//
// An event is {kind, at, run, ...}: arm (beginAt, sitting, sheet, mark, clip, steps, vessel), move (beginAt),
// begin (as arm, at once), done (step), longer (step, seconds), stop, look (look, word), finish, black (step), pedal (on), step (step).
const WATER = new Set(['first_wash', 'second_wash', 'third_wash', 'rinse', 'last_wash']);
const RED_MOST_S = 300;    // how long a sheet may lie in water till others bear white light; common practice
const WAIT_MOST_S = 180;   // how long one may lie in water till a tray is free; common practice
const APART_MOST_S = 60;  // how long lights, or a bleach that is done, go on for the sake of another lift
const LOOK_AHEAD_S = 5400;
const STEPS_S = [[300, 2], [900, 5], [Infinity, 15]];   // how finely a start is looked for, so far ahead
const TRIES_MOST = 60;
const SOON_S = 15;   // so near its beginning a sheet is moved only if white light is on
const NEW = 'new';

const ms = seconds => seconds * 1000;

/** Whether a pedal, a key or a tap ends this step; without a pedal the bleach runs its longest time. */
export function waitsForDone(step, pedal) {
  return step.ends === 'eye' && (pedal || step.id !== 'bleach');
}

class Run {
  constructor(event, plan) {
    this.id = event.run;
    this.sitting = event.sitting;
    this.sheet = event.sheet;
    this.mark = event.mark;
    this.clip = event.clip ?? null;
    this.steps = event.steps ?? plan.steps;
    this.vessel = event.vessel ?? plan.process.vessel;
    this.beginAt = event.beginAt ?? event.at;
    this.outcome = 'armed';
    this.passed = [];
    this.looks = [];
    this.black = null;
    this.at = -1;
    this.heldFor = null;
  }

  get step() { return this.steps[this.at]; }
  get next() { return this.steps[this.at + 1]; }
  get liftMs() { return ms(this.step?.lift_s ?? 0); }
  get liftAt() { return this.end - this.liftMs; }

  enter(index, at) {
    if (this.at >= 0) this.passed.push({ step: this.step.id, beganAt: this.enteredAt, endedAt: at, longer_s: this.longer_s });
    this.at = index;
    this.enteredAt = at;
    this.longer_s = 0;
    this.doneAt = null;
    this.heldFor = null;
    this.held = null;
    this.outcome = !this.step || this.step.ends === 'open' ? 'through' : 'in_work';
    if (this.outcome === 'through') this.endedAt = at;
    this.end = Infinity;
  }

  /** When this step would be over if nobody else were on the bench. */
  naturalEnd(pedal, guess) {
    const { step } = this;
    if (this.outcome !== 'in_work') return Infinity;
    if (waitsForDone(step, pedal)) {
      if (this.doneAt === null) return guess === null ? Infinity : Math.max(this.enteredAt + ms(step.seconds), guess);
      return this.doneAt + ms((step.again_share ?? 0) * (this.doneAt - this.enteredAt) / 1000 + this.longer_s) + this.liftMs;
    }
    const seconds = step.ends === 'eye' ? step.longest_s ?? step.seconds : step.seconds;
    return this.enteredAt + ms(seconds + this.longer_s);
  }

  /** A step that may last longer without harm: water, lights, and what goes on only to be sure. */
  get isSoft() {
    return WATER.has(this.step.id) || this.step.id === 'lights' || this.doneAt !== null;
  }

  get isRed() {
    return this.outcome === 'in_work' && this.step.light === 'red';
  }
}

const first = (runs, when) => runs.reduce((a, b) => (a && when(a) <= when(b) ? a : b), null);
const inOneVessel = run => run.vessel !== 'trays';
const occupies = step => step && !WATER.has(step.id) && step.ends !== 'open';

/** The whole simulation; `until` is now, or later for a guess at what is to come. */
class Bench {
  constructor(plan, events, { guess = false, now = Infinity } = {}) {
    this.plan = plan;
    this.runs = new Map();
    this.pedal = false;
    this.guess = guess;
    this.now = now;
    this.lifts = [];
    this.entered = [];
    this.spacing = ms(plan.spacing_s);
    this.notice = ms(plan.ahead_s);
    this.events = events.map((event, order) => ({ event, order }))
      .sort((a, b) => a.event.at - b.event.at || a.order - b.order).map(({ event }) => event);
  }

  inWork() { return [...this.runs.values()].filter(run => run.outcome === 'in_work'); }
  armed() { return [...this.runs.values()].filter(run => run.outcome === 'armed'); }

  run(until) {
    let told = 0;
    for (;;) {
      const event = this.events[told], eventAt = event?.at ?? Infinity;
      const leaves = first(this.inWork(), run => run.end), begins = first(this.armed(), run => run.beginAt);
      const endAt = leaves?.end ?? Infinity, beginAt = begins?.beginAt ?? Infinity;
      const at = Math.min(eventAt, endAt, beginAt);
      if (at > until || at === Infinity) break;
      if (endAt === at) this.moveOn(leaves, at);
      else if (beginAt === at) this.begin(begins, at);
      else { this.take(event); told += 1; }
      this.settle(at);
    }
    return this;
  }

  begin(run, at) {
    run.enter(0, at);
    this.entered.push({ run: run.id, step: run.step.id, at });
  }

  moveOn(run, at) {
    this.lifts.push({ run: run.id, step: run.step.id, at: at - run.liftMs });
    run.enter(run.at + 1, at);
    this.entered.push({ run: run.id, step: run.step?.id ?? 'end', at });
  }

  take(event) {
    if (event.kind === 'pedal') { this.pedal = event.on; return; }
    const run = this.runs.get(event.run);
    if (event.kind === 'arm' || event.kind === 'begin') {
      if (!run) this.runs.set(event.run, new Run(event, this.plan));
      return;
    }
    if (!run) return;
    if (event.kind === 'move') {
      if (run.outcome === 'armed') run.beginAt = Math.max(event.at, event.beginAt);
      return;
    }
    if (event.kind === 'stop' && (run.outcome === 'in_work' || run.outcome === 'armed')) {
      run.passed.push(...(run.step ? [{ step: run.step.id, beganAt: run.enteredAt, endedAt: event.at, longer_s: run.longer_s }] : []));
      run.stoppedIn = run.step ?? null;
      run.outcome = 'stopped';
      run.endedAt = event.at;
      run.end = Infinity;
      return;
    }
    if (event.kind === 'look') run.looks.push({ look: event.look, word: event.word, at: event.at });
    if (event.kind === 'finish') run.finish = true;
    if (event.kind === 'black' && run.black === null) run.black = (event.at - run.enteredAt) / 1000;
    if (run.outcome !== 'in_work') return;
    if (event.kind === 'step') {
      const to = run.steps.findIndex(step => step.id === event.step);
      if (to > run.at) run.enter(to, event.at);
      return;
    }
    if (event.step !== run.step.id) return;
    if (event.kind === 'longer') run.longer_s += event.seconds;
    const isDue = event.at >= run.enteredAt + ms(run.step.least_s ?? 0);
    if (event.kind === 'done' && run.doneAt === null && isDue && waitsForDone(run.step, this.pedal)) run.doneAt = event.at;
  }

  /** Set every end anew, the sheet that began first first; only what is still to come can move. */
  settle(at) {
    const ahead = this.inWork().sort((a, b) => a.beginAt - b.beginAt);
    for (const run of ahead) {
      const guess = this.guess ? this.now + run.liftMs + this.notice : null;
      run.natural = run.naturalEnd(this.pedal, guess);
      if (!run.isSoft) { run.end = run.natural; run.heldFor = null; }
    }
    for (const run of ahead) if (run.isSoft) this.hold(run, ahead, at);
  }

  hold(run, others, at) {
    const was = run.held;
    if (this.isCalled(run, at) && was >= run.natural) { run.end = was; return; }
    const [block, by, reason] = this.blockedTill(run, others);
    let end = Math.max(run.natural, block), heldFor = block > run.natural ? { reason, by } : null;
    // What was to wait longer is told its lift in time, however early it could go now.
    if (was !== null && was > end) end = Math.max(end, Math.min(was, at + run.liftMs + this.notice));
    if (end !== Infinity && end > at) {
      const [free, other] = this.apart(run, others, end, at);
      if (free > end) { heldFor ??= { reason: 'lifts', by: [other] }; end = free; }
    }
    run.held = end;
    run.end = end;
    run.heldFor = heldFor;
  }

  /** Whether a lift that could wait has been called out already, and so stands. */
  isCalled({ held, liftMs }, at) {
    return held !== null && held !== Infinity && at >= held - liftMs - this.notice;
  }

  /** Till when this sheet cannot leave its water: the next tray is taken, or others need the dark. */
  blockedTill(run, others) {
    const { next } = run;
    if (!next) return [-Infinity, [], ''];
    const after = run.steps[run.at + 2], intoLights = next.id === 'lights';
    if (intoLights) {
      const lightsEnd = run.natural + ms(next.seconds) + 2 * this.spacing;
      const red = [...others.filter(other => other !== run && other.isRed), ...this.armed().filter(other => other.beginAt < lightsEnd)];
      if (red.length) return [Infinity, red.map(other => other.mark), 'lights'];
    }
    if (!occupies(next) || inOneVessel(run)) return [-Infinity, [], ''];
    // Under the lights nobody waits: the tray behind them must be free when they are over.
    const till = other => {
      if (other.step.id === next.id && !intoLights) return other.end + this.spacing;
      if (intoLights && other.step.id === after?.id) return other.end + this.spacing - ms(next.seconds);
      return Infinity;
    };
    const isAhead = other => other !== run && other.vessel === run.vessel && (other.step.id === next.id
      || (intoLights && other.step.id === after?.id) || (other.step.id === run.step.id && other.beginAt < run.beginAt));
    const inTheWay = others.filter(isAhead);
    return [Math.max(-Infinity, ...inTheWay.map(till)), inTheWay.map(other => other.mark), 'tray'];
  }

  /** The first end from `end` on whose lift is a spacing away from every other lift that is known. */
  apart(run, others, end, at) {
    const givesWay = other => other.isSoft && other.beginAt > run.beginAt && !this.isCalled(other, at);
    const known = [
      ...others.filter(other => other !== run && other.end !== Infinity && !givesWay(other)).map(other => [other.liftAt, other.mark]),
      ...this.lifts.filter(lift => lift.run !== run.id).map(lift => [lift.at, this.runs.get(lift.run).mark]),
      ...this.armed().flatMap(({ beginAt, steps: [begun], mark }) => [[beginAt, mark], [beginAt + ms(begun.seconds - begun.lift_s), mark]]),
    ];
    // Its own lift, and that of a bath after it, whose time cannot give way then.
    const { next } = run, hard = next && next.ends === 'time' && !WATER.has(next.id) && next.id !== 'lights';
    const offsets = [-run.liftMs, ...(hard ? [ms(next.seconds - next.lift_s)] : [])];
    const most = end + ms(WATER.has(run.step.id) ? WAIT_MOST_S : APART_MOST_S);
    let free = end, by = '';
    for (let tries = 0; tries < TRIES_MOST; tries += 1) {
      const met = known.flatMap(([lift, mark]) => offsets.map(offset => [lift - offset, mark])).find(([moment]) => Math.abs(moment - free) < this.spacing);
      if (!met) return [free, by];
      free = met[0] + this.spacing;
      by = met[1];
      if (free > most) break;
    }
    return [end, ''];   // nothing free soon enough: better two lifts together than a sheet forgotten
  }
}

/** The line at a moment. */
export function lineAt(plan, events, now) {
  const bench = new Bench(plan, events).run(now);
  return { now, plan, pedal: bench.pedal, lifts: bench.lifts, entered: bench.entered, runs: [...bench.runs.values()].map(run => ({ ...facts(run), ...phaseOf(run, now, bench) })) };
}

function facts(run) {
  return {
    id: run.id, sitting: run.sitting, sheet: run.sheet, mark: run.mark, clip: run.clip, outcome: run.outcome, steps: run.steps,
    vessel: run.vessel, beginAt: run.beginAt, endedAt: run.endedAt ?? null, passed: run.passed, looks: run.looks, black_s: run.black,
    index: run.at, step: run.step ?? null, next: run.next ?? null, enteredAt: run.enteredAt ?? null, longer_s: run.longer_s ?? 0,
    doneAt: run.doneAt ?? null, end: run.end ?? Infinity, natural: run.natural ?? Infinity, liftMs: run.liftMs, heldFor: run.heldFor, finish: run.finish ?? false, stoppedIn: run.stoppedIn ?? null,
  };
}

/** What a run is doing: armed, rock (work), lift, drain, eye, again, past, held, or out of work. */
function phaseOf(run, now, bench) {
  if (run.outcome === 'armed') return { phase: 'armed', leftMs: run.beginAt - now, share: 1 };
  if (run.outcome !== 'in_work') return { phase: run.outcome, leftMs: 0, share: 0 };
  const { step, end } = run, liftAt = run.liftAt, elapsed = now - run.enteredAt;
  if (waitsForDone(step, bench.pedal) && run.doneAt === null) {
    return { phase: elapsed > ms(step.longest_s ?? Infinity) ? 'past' : 'eye', leftMs: Infinity, share: 0, isDue: elapsed >= ms(step.least_s ?? 0) };
  }
  if (end === Infinity) return { phase: 'held', leftMs: Infinity, share: 0 };
  const share = Math.max(0, Math.min(1, (liftAt - now) / Math.max(1, liftAt - run.enteredAt)));
  if (now >= liftAt) return { phase: 'drain', leftMs: end - now, share: 0 };
  const leftMs = liftAt - now, kind = run.doneAt === null ? 'work' : 'again';
  return { phase: leftMs <= bench.notice ? 'lift' : kind, leftMs, share };
}

/** Every lift and every entry up to a moment, those to come guessed: trays by eye take their usual time. */
export function expected(plan, events, now, until = now + ms(LOOK_AHEAD_S)) {
  return new Bench(plan, events, { guess: true, now }).run(until);
}

/**
 * The first moment from now on at which a sheet can begin: hands free then, no two lifts closer than the
 * spacing, nobody under the lights while it needs the dark, nobody long in the water for its sake.
 * A moment that was told already stays, if it is still as good.
 */
export function firstStart(plan, events, now, sheet, told = null) {
  const others = lineAt(plan, events, now).runs.filter(run => run.outcome === 'in_work' || run.outcome === 'armed');
  if (!others.length) return now;
  const open = new Set(others.map(run => run.id)), known = events.filter(event => !event.run || open.has(event.run));
  const costAt = at => trouble(expected(plan, [...known, { ...sheet, kind: 'arm', run: NEW, at: now, beginAt: at }], now, at + ms(LOOK_AHEAD_S)), now, at);
  if (told !== null && told >= now && costAt(told) === 0) return told;
  let best = null;
  for (let delay = 0; delay <= LOOK_AHEAD_S; delay += STEPS_S.find(([till]) => delay < till)[1]) {
    const at = now + ms(delay), cost = costAt(at);
    if (cost === 0) return at;
    if (!best || cost < best.cost) best = { at, cost };
  }
  return best.at;
}

/** When a sheet that waits for its beginning is to begin now that others have moved. */
export function movedStart(plan, events, now) {
  const line = lineAt(plan, events, now), run = line.runs.find(one => one.phase === 'armed');
  if (!run) return null;
  const lit = line.runs.filter(one => one.outcome === 'in_work' && one.step.id === 'lights' && one.end > run.beginAt);
  if (run.beginAt < now + ms(SOON_S)) return lit.length ? Math.max(...lit.map(one => one.end)) + ms(plan.spacing_s) : run.beginAt;
  const others = events.filter(event => event.run !== run.id);
  return firstStart(plan, others, now, { mark: run.mark, steps: run.steps, vessel: run.vessel }, run.beginAt);
}

function trouble(bench, now, at) {
  const runs = [...bench.runs.values()];
  let cost = 0;
  const hands = [...bench.lifts.filter(lift => lift.at >= now), { run: NEW, at }].sort((a, b) => a.at - b.at);
  hands.forEach((lift, n) => {
    const after = hands[n + 1];
    if (after && after.run !== lift.run && after.at - lift.at < bench.spacing) cost += 1;
  });
  for (const run of runs) {
    if (run.outcome === 'stopped') continue;
    for (const { step: id, beganAt, endedAt } of spans(run)) {
      const step = run.steps.find(one => one.id === id), began = Math.max(beganAt, now), later = (endedAt - began) / 1000 - step.seconds;
      if (WATER.has(id)) cost += later > (id === 'third_wash' ? RED_MOST_S : WAIT_MOST_S) ? 10 : 0;
      if (id === 'lights' && endedAt > at && beganAt <= at && run.id !== NEW) cost += 10;
    }
    if (inOneVessel(run)) cost += runs.some(other => other !== run && overlap(run, other)) ? 100 : 0;
    cost += clashes(run, runs) * 10;
  }
  return cost;
}

const spans = run => [...run.passed, ...(run.outcome === 'in_work' ? [{ step: run.step.id, beganAt: run.enteredAt, endedAt: run.end }] : [])];
const overlap = (a, b) => a.beginAt < (b.endedAt ?? Infinity) && b.beginAt < (a.endedAt ?? Infinity);

// Two sheets in one tray that holds one.
function clashes(run, runs) {
  let found = 0;
  for (const mine of spans(run)) {
    if (WATER.has(mine.step)) continue;
    for (const other of runs) {
      if (other === run || other.vessel !== run.vessel) continue;
      found += spans(other).filter(span => span.step === mine.step && span.beganAt < mine.endedAt && mine.beganAt < span.endedAt).length;
    }
  }
  return found;
}

/** What one press of the pedal does now: done for a waiting tray by eye, else longer for what ends first. */
export function pressOf(line) {
  const work = line.runs.filter(run => run.outcome === 'in_work');
  const eye = work.filter(run => (run.phase === 'eye' || run.phase === 'past') && run.isDue).sort((a, b) => a.enteredAt - b.enteredAt)[0];
  if (eye) return { kind: 'done', run: eye };
  const timed = work.filter(run => run.phase === 'work' || run.phase === 'again' || run.phase === 'lift').sort((a, b) => a.end - b.end)[0];
  if (timed) return { kind: 'longer', run: timed };
  const early = work.find(run => run.phase === 'eye');
  if (early) return { kind: 'not yet', run: early };
  return { kind: work.length ? 'nothing' : 'begin', run: null };
}

/** Which look is asked of a run in water: at the negative after the first developer, at the pale positive after the clear. */
export function lookAsked(run) {
  if (run.outcome !== 'in_work' || !WATER.has(run.step.id)) return '';
  const before = run.steps[run.index - 1];
  const asked = run.step.look || (before && !WATER.has(before.id) ? before.look : '');
  return !asked || run.looks.some(look => look.look === asked) ? '' : asked;
}

/** A look that was out, while it has not been said whether to go on. */
export function offersToStop(run) {
  const last = run.looks.at(-1);
  return run.outcome === 'in_work' && Boolean(last) && last.word !== 'about_right' && !run.finish && last.at >= run.enteredAt;
}

/** Events that tell what the server knows of its runs, for a page that was not there. */
export function eventsOf(runs, plan, sheets) {
  return runs.flatMap(run => {
    const sheet = sheets.find(one => one.sitting === run.sitting && one.number === run.sheet);
    const own = { run: run.id, remote: true }, t = iso => Date.parse(iso);
    const told = [{ ...own, kind: 'begin', at: t(run.began_at), sitting: run.sitting, sheet: run.sheet, mark: run.mark || `${run.sitting} ${run.sheet}`, clip: sheet?.clip ?? null }];
    for (const step of run.steps) {
      const planned = plan.steps.find(one => one.id === step.step);
      if (step !== run.steps[0]) told.push({ ...own, kind: 'step', step: step.step, at: t(step.began_at) });
      if (step.longer_s) told.push({ ...own, kind: 'longer', step: step.step, seconds: step.longer_s, at: t(step.began_at) + 1 });
      if (step.ended_at && planned?.ends === 'eye') told.push({ ...own, kind: 'done', step: step.step, at: t(step.ended_at) });
    }
    for (const look of run.looks ?? []) told.push({ ...own, kind: 'look', look: look.look, word: look.word, at: t(look.at) });
    if (run.outcome === 'stopped' && run.ended_at) told.push({ ...own, kind: 'stop', at: t(run.ended_at) });
    return told;
  });
}
