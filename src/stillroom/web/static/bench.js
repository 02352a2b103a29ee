// The bench page: joins the line, its clock, the keys, the calls and the book. All that is true of the
// line is worked out in bench_line.js; this file only tells it what happened and draws what it says.
import { awakeState, stayAwake } from './bench_awake.js';
import { callsBetween } from './bench_calls.js';
import { LineClock } from './bench_clock.js';
import { eventsOf, firstStart, lineAt, movedStart, pressOf } from './bench_line.js';
import { Kept, Sender, newId } from './bench_queue.js';
import { drawCall, drawCautions, drawLine, drawNotices, drawStarts, drawStops, key, notSaved, put, show } from './bench_show.js';
import { hush, offlineVoice, say, sound, soundState, unlockSound } from './bench_sound.js';
import { capital, lasting } from './bench_words.js';

const TICK_MS = 250;
const ASK_AGAIN_MS = 20_000;
const BOUNCE_MS = 1500;      // after a start or a done, a second press is the same foot
const HELD_MS = 500;         // a pedal held down presses again this often
const MOVE_MS = 2000;        // how often a sheet that waits for its beginning is looked at again
const NAP_MS = 15_000;
const CAUTION_MS = 36_000;   // a caution stands above the trays so long before its step

const root = document.querySelector('[data-bench]');
const part = name => document.querySelector(`[data-${name}]`);
const kept = new Kept();
let plan = JSON.parse(root.dataset.plan);
let line = null, before = null, sheets = [];
let isStopAsked = false, lastPress = { at: -Infinity, kind: '' }, refused = [], napMs = 0, saidWorker = '', moves = '';

const anyInWork = () => kept.events.some(isBeginning) && lineOf(kept.clock.seen ?? Date.now()).runs.some(isOpen);
const isBeginning = event => event.kind === 'arm' || event.kind === 'begin';
const isOpen = run => run.outcome === 'in_work' || run.outcome === 'armed';
const lineOf = at => lineAt(plan, kept.events, at);

const clock = new LineClock(anyInWork() ? kept.clock : {});
const sender = new Sender(kept, root.dataset.post, { now: () => clock.now(), onChange: () => draw(), onRefused: sentence => { refused = [...refused.slice(-2), sentence]; } });

/* ── what happens ──────────────────────────────────────────────────────────────────────────── */

function tell(event, isFact = true) {
  const whole = { id: newId(), at: clock.now(), ...event };
  kept.events.push(whole);
  if (isFact) kept.queue.push({ ...whole, steps: undefined });
  napMs = 0;
  kept.write();   // at once: the next press reads what is kept
  return whole;
}

function afterTelling() {
  kept.write();
  sender.soon();
  tick();
}

const asRun = sheet => ({ sitting: sheet.sitting, sheet: sheet.number, mark: sheet.mark, clip: sheet.clip, steps: plan.steps, vessel: plan.process.vessel });

function start(sheet) {
  kept.read();
  const now = clock.now(), armed = line.runs.find(run => run.phase === 'armed');
  if (armed) {
    if (key(sheet) !== `${armed.sitting}/${armed.sheet}`) return;
    setBegin(armed.id, now);   // a second tap: now, whatever the hands say
  } else {
    const beginAt = firstStart(plan, kept.events, now, asRun(sheet), startWhen(sheet)), run = newId();
    tell({ kind: 'arm', beginAt, run, ...asRun(sheet), temperature_c: plan.temperature_c }, false);
    kept.queue.push({ id: newId(), kind: 'begin', at: beginAt, run, sitting: sheet.sitting, sheet: sheet.number, process: plan.process.id, temperature_c: plan.temperature_c });
  }
  pressed('begin');
  scrollTo({ top: 0 });
  part('others').open = false;
  afterTelling();
}

function setBegin(run, beginAt) {
  tell({ kind: 'move', run, beginAt }, false);
  for (const event of kept.queue) if (event.kind === 'begin' && event.run === run) event.at = beginAt;
}

// A sheet that waits for its beginning is moved when the others have moved.
function moveArmed(now) {
  const armed = line.runs.find(run => run.phase === 'armed'), at = movedStart(plan, kept.events, now);
  if (at === null || at === armed.beginAt) return;
  setBegin(armed.id, at);
  kept.write();
}

/** Whether anything happened, or some time went by, since this was asked last. */
function hasMoved(now) {
  const shape = `${kept.events.length} ${line.entered.length} ${Math.floor(now / MOVE_MS)}`, isOther = shape !== moves;
  moves = shape;
  return isOther;
}

function stop(run) {
  kept.read();
  isStopAsked = false;
  if (lineOf(clock.now()).runs.some(one => one.id === run && one.phase === 'armed')) {
    // It never went in: nothing to tell the book.
    kept.events = kept.events.filter(event => event.run !== run);
    kept.queue = kept.queue.filter(event => event.run !== run);
  } else tell({ kind: 'stop', run });
  afterTelling();
}

function longer(run) { tell({ kind: 'longer', run: run.id, step: run.step.id, seconds: plan.longer_s }); }
function done(run) { tell({ kind: 'done', run: run.id, step: run.step.id }); }

function pressed(kind) { lastPress = { at: clock.now(), kind }; }

/** The pedal, or any key: what it means is what the line needs. */
function press(isRepeat) {
  kept.read();
  const now = clock.now(), since = now - lastPress.at;
  if (since < (lastPress.kind === 'longer' ? (isRepeat ? HELD_MS : TICK_MS) : BOUNCE_MS)) return;
  line = lineOf(now);
  // Whoever presses has a pedal: nobody is asked.
  if (!line.pedal && kept.wishes.pedal !== false) { kept.wishes.pedal = true; tell({ kind: 'pedal', on: true }, false); line = lineOf(now); }
  const { kind, run } = pressOf(line);
  if (isRepeat && kind !== 'longer') return;
  if (kind === 'begin' && sheets.length) { start(sheets[0]); return; }
  if (kind === 'done') done(run);
  else if (kind === 'longer') longer(run);
  else return;
  pressed(kind);
  afterTelling();
}

function look(run, seen, word) {
  const step = line.runs.find(one => one.id === run)?.step?.id;
  tell({ kind: 'look', run, step, look: seen, word });
  afterTelling();
}

// What the line did by itself is told as facts: a step begun, a sheet through. Runs that began on
// another screen are told from there, until somebody presses for them here.
function tellFacts() {
  const mine = new Set(kept.events.filter(event => !event.remote).map(event => event.run));
  let isNew = false;
  for (const run of line.runs) {
    if (!mine.has(run.id) || run.index < 0) continue;
    const told = kept.told[run.id] ?? 0;
    const last = run.outcome === 'through' ? run.steps.length - 1 : run.index;
    for (let n = told + 1; n <= last; n += 1) {
      const step = run.steps[n];
      if (step.ends === 'open') break;
      const entry = line.entered.find(one => one.run === run.id && one.step === step.id);
      if (entry) { kept.queue.push({ id: newId(), run: run.id, kind: 'step', at: entry.at, step: step.id }); isNew = true; }
    }
    if (run.outcome === 'through' && kept.told[run.id] !== 'through') {
      kept.queue.push({ id: newId(), run: run.id, kind: 'through', at: run.endedAt });
      kept.told[run.id] = 'through';
      isNew = true;
    } else if (run.outcome !== 'through') kept.told[run.id] = Math.max(told === 'through' ? last : told, last);
  }
  if (isNew) { kept.write(); sender.soon(); }
}

/* ── each quarter of a second ──────────────────────────────────────────────────────────────── */

function tick() {
  const now = clock.now();
  if (before?.runs.some(isOpen) && now - before.now > NAP_MS) napMs = now - before.now;
  line = lineOf(now);
  if (line.runs.some(run => run.phase === 'armed') && hasMoved(now)) {
    moveArmed(now);
    line = lineOf(now);
  }
  const open = line.runs.filter(isOpen);
  if (!open.length) clock.forget();
  const calls = callsBetween(before ?? (open.length ? null : line), line);
  before = line;
  tellFacts();
  if (calls.some(one => one.text)) drawCall(calls.map(one => one.text).filter(Boolean).join(' '));
  for (const one of calls) call(one);
  kept.writeClock(open.length ? clock.kept() : {});
  stayAwake(open.length > 0);
  draw();
}

function call({ text, sound: kind }) {
  if (kept.wishes.beeps !== false) sound(kind);
  if (!text || kept.wishes.voice === false) return;
  if (kind === 'over' || /^Lift|lift in ten/.test(text)) hush();
  say(text);
}

function waitingSheets() {
  const known = new Set(line.runs.map(run => `${run.sitting}/${run.sheet}`));
  const armed = line.runs.find(run => run.phase === 'armed');
  const exposed = plan.sheets.filter(sheet => sheet.state === 'exposed');
  // One that was stopped may begin again, after all others: it may have been stopped by mistake.
  const stopped = new Set(line.runs.filter(run => run.outcome === 'stopped').map(run => `${run.sitting}/${run.sheet}`));
  const going = new Set(line.runs.filter(run => run.outcome !== 'stopped').map(run => `${run.sitting}/${run.sheet}`));
  const free = [...exposed.filter(sheet => !known.has(key(sheet))), ...exposed.filter(sheet => stopped.has(key(sheet)) && !going.has(key(sheet)))];
  return armed ? [plan.sheets.find(sheet => key(sheet) === `${armed.sitting}/${armed.sheet}`) ?? { sitting: armed.sitting, number: armed.sheet, mark: armed.mark, clip: armed.clip }, ...free] : free;
}

let starts = { until: 0, at: 0, shape: '' };

/** When the next sheet could go in; worked out again only when something moved. */
function startWhen(sheet) {
  const now = line.now, shape = `${kept.events.length} ${line.entered.length} ${key(sheet)}`;
  if (starts.shape !== shape || now > starts.until) starts = { shape, until: now + ASK_AGAIN_MS, at: firstStart(plan, kept.events, now, asRun(sheet), starts.sheet === key(sheet) ? starts.at : null), sheet: key(sheet) };
  return starts.at;
}

function startSaying(sheet) {
  if (line.runs.some(run => run.phase === 'armed')) return 'now, without waiting';
  if (!line.runs.some(isOpen)) return sheet.clip ? `clip ${sheet.clip}` : 'as it goes in';
  const wait = (startWhen(sheet) - line.now) / 1000;
  return wait < 5 ? 'it can go in now' : `goes in ${lasting(wait)} after you press`;
}

function draw() {
  if (!line) return;
  sheets = waitingSheets();
  const armed = line.runs.find(run => run.phase === 'armed');
  drawLine(line, armed ? null : sheets[0]);
  drawStarts(armed ? sheets.slice(0, 1) : sheets, { armed, isIdle: !line.runs.some(run => run.outcome === 'in_work') }, startSaying, start);
  drawStops(line, isStopAsked, stop);
  drawCautions(line);
  drawNotices(notices());
  drawFoot();
  const developing = line.runs.find(run => run.outcome === 'in_work' && run.index === 0);
  const said = line.runs.findLast(run => run.black_s !== null);
  show(part('black'), Boolean(developing));
  part('black').dataset.run = developing?.id ?? '';
  put(part('black-said'), said ? `${said.mark}: ${Math.round(said.black_s)} s` : developing ? `${developing.mark}: not yet` : 'no sheet in the developer');
  const isAsked = kept.wishes.beeps === undefined || kept.wishes.voice === undefined || kept.wishes.pedal === undefined;
  show(part('asks'), isAsked || part('asks').dataset.open === 'yes');
  document.querySelectorAll('[data-wish]').forEach(button => {
    button.setAttribute('aria-pressed', String(kept.wishes[button.dataset.wish] === (button.value === 'yes')));
  });
}

function notices() {
  const told = [];
  if (kept.since !== null && kept.queue.length) told.push(notSaved(kept.since));
  if (!kept.isKept) told.push({ label: 'Not kept', text: 'This browser keeps nothing for this page: do not reload it while a sheet is in work.' });
  if (clock.setBackMs) told.push({ label: 'Clock', text: `The clock of this machine was set back by ${lasting(clock.setBackMs / 1000)}; the line kept its own time, and no step was made longer or shorter.` });
  if (napMs) told.push({ label: 'Clock', text: `${capital(lasting(napMs / 1000))} went by while this page slept; the line ran on by the clock, so look at each sheet before you trust its time.` });
  for (const run of line.runs) {
    const isNear = run.next?.caution && run.end - line.now < CAUTION_MS;
    if (isNear) told.unshift({ label: run.next.caution.label, text: `Next for ${run.mark}. ${run.next.caution.text}` });
  }
  return [...told, ...refused.map(text => ({ label: 'Not taken', text }))];
}

function drawFoot() {
  const awake = awakeState(), isBusy = line.runs.some(isOpen);
  const screen = awake === 'on' ? 'The screen stays awake while a sheet is in work.'
    : awake === 'none' ? 'This browser cannot keep the screen awake: it may sleep. The clock runs on meanwhile, the calls do not.'
      : isBusy ? 'The screen may sleep: the browser does not keep it awake now. The clock runs on meanwhile, the calls do not.'
        : 'The screen may sleep while nothing is in work.';
  const voice = kept.wishes.voice === false ? 'No voice, as you said.' : offlineVoice() ? 'Voice is on.' : 'No voice here works without a network: calls stand as text.';
  const beeps = kept.wishes.beeps === false ? 'No beeps.' : { on: 'Beeps are on.', waits: 'Beeps begin with the first touch or key.', none: 'This browser makes no sounds.' }[soundState()];
  put(part('foot'), [screen, voice, beeps, saidWorker].filter(Boolean).join(' '));
}

/* ── what the book knows ───────────────────────────────────────────────────────────────────── */

function join(told) {
  kept.read();
  const here = new Set(kept.events.filter(event => isBeginning(event) && !event.remote).map(event => event.run));
  const open = told.runs.filter(run => !here.has(run.id) && (run.outcome === 'in_work' || kept.events.some(event => event.run === run.id)));
  // What another screen did to a sheet that began here: only its end counts.
  const stopped = told.runs.filter(run => here.has(run.id) && run.outcome === 'stopped' && !kept.events.some(event => event.run === run.id && event.kind === 'stop'));
  // What was pressed here for a sheet of another screen, and is taken, comes back with the rest.
  const queued = new Set(kept.queue.map(event => event.id));
  const own = kept.events.filter(event => !event.remote && (!event.run || here.has(event.run) || queued.has(event.id)));
  const remote = [...eventsOf(open, told, told.sheets), ...eventsOf(stopped, told, told.sheets).filter(event => event.kind === 'stop')];
  kept.events = [...own, ...remote];
  plan = told;
  tellWarmth();
  drawBaths(told.baths);
  kept.write();
}

// The thermometer says otherwise while a sheet is in the first developer: told of that sheet.
function tellWarmth() {
  for (const run of lineOf(clock.now()).runs.filter(one => one.outcome === 'in_work' && one.index === 0)) {
    const said = kept.events.filter(event => event.run === run.id && event.temperature_c !== undefined).at(-1)?.temperature_c;
    if (said !== undefined && said !== plan.temperature_c) tell({ kind: 'temperature', run: run.id, temperature_c: plan.temperature_c });
  }
}

function drawBaths(baths) {
  for (const bath of baths) {
    const row = document.querySelector(`[data-bath="${CSS.escape(bath.id)}"]`);
    if (row) put(row, bath.told);
  }
}

async function askBook() {
  try {
    const answer = await fetch(root.dataset.again, { headers: { Accept: 'application/json' }, redirect: 'error' });
    if (!answer.ok) return;
    const told = await answer.json();
    if (told.stillroom === 'bench/1') { join(told); tick(); }
  } catch { /* the book is away for a moment; the line runs on */ }
}

/* ── keys, taps ────────────────────────────────────────────────────────────────────────────── */

const PEDAL = new Set(['PageDown', 'PageUp', 'ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', 'Enter', ' ']);
const CONTROL = 'button, a, input, select, textarea, summary';

function isPress(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return false;
  if (event.target.closest?.(CONTROL) && (event.key === 'Enter' || event.key === ' ')) return false;
  // With a sheet in work any letter is the pedal too: a sleeve on the keys must not leave the page.
  return PEDAL.has(event.key) || (event.key.length === 1 && line?.runs.some(isOpen));
}

document.addEventListener('keydown', event => {
  unlockSound();
  if (!isPress(event)) return;
  event.preventDefault();
  press(event.repeat);
}, true);
document.addEventListener('pointerdown', unlockSound, true);

function onTap(node, act) {
  // After a finger the button lets go of the keys, so that the pedal's Enter is the pedal's.
  node.addEventListener('click', event => { kept.read(); act(event); if (event.detail) node.blur(); });
}

const runOf = node => line.runs.find(run => run.id === node.dataset.run);

onTap(part('longer'), () => { const run = runOf(part('longer')); if (run) { longer(run); pressed('longer'); afterTelling(); } });
onTap(part('done'), () => {
  const run = runOf(part('done'));
  if (run?.isDue && !(lastPress.kind === 'done' && clock.now() - lastPress.at < BOUNCE_MS)) { done(run); pressed('done'); afterTelling(); }
});
onTap(part('stop'), () => { isStopAsked = !isStopAsked; draw(); });
document.querySelectorAll('[data-looks] button').forEach(button => onTap(button, () => look(part('looks').dataset.run, part('looks').dataset.look, button.value)));
onTap(part('finish'), () => { tell({ kind: 'finish', run: part('offer').dataset.run }, false); afterTelling(); });
onTap(part('stop-here'), () => stop(part('offer').dataset.run));
onTap(part('black'), () => {
  const run = runOf(part('black'));
  if (run) { tell({ kind: 'black', run: run.id, step: run.step.id, seconds: Math.max(1, Math.round((clock.now() - run.enteredAt) / 1000)) }); afterTelling(); }
});
onTap(part('ask-again'), () => { part('asks').dataset.open = part('asks').dataset.open === 'yes' ? 'no' : 'yes'; draw(); });
document.querySelectorAll('[data-wish]').forEach(button => onTap(button, () => {
  kept.wishes[button.dataset.wish] = button.value === 'yes';
  if (button.dataset.wish === 'pedal') tell({ kind: 'pedal', on: button.value === 'yes' }, false);
  if (button.dataset.wish === 'voice' && button.value === 'yes') say('This is the voice of the bench.');
  if (button.dataset.wish === 'beeps' && button.value === 'yes') sound('rock');
  afterTelling();
}));

/* ── begin ─────────────────────────────────────────────────────────────────────────────────── */

async function keepForReload() {
  if (!('serviceWorker' in navigator)) { saidWorker = 'Leave this page open: a reload needs the book.'; return; }
  try {
    await navigator.serviceWorker.register(root.dataset.worker, { scope: '/bench' });
    saidWorker = 'A reload works without the book.';
  } catch { saidWorker = 'Leave this page open: a reload needs the book.'; }
}

root.hidden = false;
document.querySelectorAll('[data-no-script]').forEach(node => { node.hidden = true; });
if (kept.wishes.pedal && !kept.events.some(event => event.kind === 'pedal')) kept.events.unshift({ id: newId(), kind: 'pedal', on: true, at: 0 });
join(plan);
kept.prune(lineOf(clock.now()), clock.now());
tick();
keepForReload();
sender.soon();
setInterval(tick, TICK_MS);
setInterval(askBook, ASK_AGAIN_MS);
addEventListener('pagehide', () => kept.write());
document.addEventListener('visibilitychange', () => { tick(); if (document.visibilityState === 'visible') askBook(); });
