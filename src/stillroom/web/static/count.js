// The count: starts by a pedal, a key or a tap, calls by voice and large numerals, goes dark by itself while
// the cap is off, and keeps what was pressed through a reload. Without this file the page is a list to read.
import { stayAwake } from './bench_awake.js';
import { LineClock } from './bench_clock.js';
import { Kept } from './bench_queue.js';
import { hush, offlineVoice, say, sound, unlockSound } from './bench_sound.js';
import { countAt, counts, measured, numbersBetween } from './count_line.js';
import { Memory } from './count_memory.js';

const TICK_MS = 50, STALE_MS = 1500, OVER_MS = 1500;
const WORDS = ['', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];
const PEDAL = ['PageDown', 'PageUp', 'ArrowDown', 'ArrowUp', 'ArrowLeft', 'ArrowRight', 'Enter', ' '];
const MUTE = ['Shift', 'Control', 'Alt', 'Meta', 'Tab', 'CapsLock', 'AltGraph', 'Dead', 'Process'];

const root = document.documentElement, page = document.querySelector('[data-count]');
const plan = JSON.parse(page.dataset.plan);
const part = name => document.querySelector(`[data-part="${name}"]`);
const memory = new Memory(plan), wishes = { ...new Kept().wishes, ...memory.wishes() };
const ticks = [...document.querySelectorAll('[data-tick]')];
let state = memory.state(), clock = new LineClock(state?.clock ?? {}), told = clock.now(), line = null, overSince = 0;

const show = (what, isShown) => { if (what && what.hidden === isShown) what.hidden = !isShown; };
const put = (what, text) => { if (what && what.textContent !== text) what.textContent = text; };

/* ── what is said ──────────────────────────────────────────────────────────────────────────── */

function tell(text, kind = '') {
  if (kind && wishes.beeps !== false) sound(kind);
  if (!text) return;
  put(part('called'), text);
  if (wishes.voice !== false) { hush(); say(text); }
}

const KINDS = { pop: 'ten', off: 'rock', on: 'rock' };

function tellBetween(from, to) {
  const calls = line.said.filter(({ at }) => at > from && at <= to).map(({ call, at }) => ({ at, text: call.says, kind: KINDS[call.kind] ?? '' }));
  const numbers = numbersBetween(line, from, to).map(({ at, n }) => ({ at, text: WORDS[n] ?? String(n), kind: '' }));
  for (const one of [...calls, ...numbers].sort((a, b) => a.at - b.at)) if (one.at > to - STALE_MS) tell(one.text, one.kind);
}

/* ── the state ─────────────────────────────────────────────────────────────────────────────── */

function keep() { if (state) state.clock = clock.kept(); memory.keep(state, line); }

function start() {
  unlockSound();
  clock.forget();
  const now = clock.now();
  state = { started: now, presses: [], mode: mode(), charged: memory.charged(), isSent: false };
  told = now - 1;
  overSince = 0;
  step();
}

function stop() {
  if (line?.pops.length) memory.popped(line.pops.at(-1));
  state = null;
  line = null;
  hush();
  put(part('called'), 'Stopped. Nothing is written down of this count.');
  memory.keep(null, null);
  step();
  part('start').focus();
}

function press(at = clock.now()) {
  if (!state || !line || line.isOver || !(line.waits || (state.mode === 'pressed' && plan.is_by_hand)) || !counts(state, at)) return;
  state.presses.push(at);
  step();
}

function mode() { return document.querySelector('[data-mode-of]:checked')?.value ?? 'counted'; }

function step() {
  if (state) {
    const now = clock.now();
    line = countAt(plan, state, now);
    tellBetween(told, now);
    told = now;
    if (line.pops.length) memory.popped(line.pops.at(-1));
    if (line.isOver && !overSince) overSince = now;
    keep();
  }
  stayAwake(Boolean(state && !line.isOver));
  draw();
}

/* ── what is shown ─────────────────────────────────────────────────────────────────────────── */

function draw() {
  const isOn = Boolean(state), isOver = Boolean(line?.isOver), isDark = isOn && !isOver && line.isDark;
  page.dataset.at = isOver ? 'over' : isOn ? 'running' : 'ready';
  show(part('ready'), !isOn);
  show(part('running'), isOn && !isOver);
  show(part('over'), isOver);
  cover(isDark);
  if (!isOn) { put(part('charging'), chargingText()); return; }
  if (isOver) { drawOver(); return; }
  const left = Math.max(0, Math.ceil((line.nextAt - told) / 1000));
  const charging = line.charging && !isDark;
  put(part('word'), charging ? 'Charging' : line.waits ? line.next.word : line.call?.word ?? '');
  put(part('numeral'), Number.isFinite(left) && left <= 99 && !line.waits ? String(left) : '');
  put(part('next'), line.waits ? 'Press when it is done.' : `${charging ? 'No pop before every head is charged' : 'Then'}: ${line.next.word.toLowerCase()}.`);
}

function cover(isDark) {
  if (isDark !== (root.dataset.covered === 'yes')) {
    if (isDark) root.dataset.covered = 'yes'; else delete root.dataset.covered;
    document.querySelector('meta[name=theme-color]').content = isDark || root.dataset.mode === 'safelight' ? '#000000' : '#f1f1f0';
    show(part('cover'), isDark);
  }
  const off = line?.openings.find(opening => opening.on === null);
  put(part('dim'), isDark && off && root.dataset.mode === 'safelight' ? String(Math.floor((told - off.off) / 1000)) : '');
}

function drawOver() {
  const found = measured(plan, state, line);
  part('open_s').value = found ? found.open_s.toFixed(3) : '';
  part('openings').value = String(found?.openings ?? 1);
  part('pressed').value = found?.is_pressed ? 'yes' : 'no';
  if (part('over').dataset.said !== String(state.started)) {
    part('over').dataset.said = String(state.started);
    put(part('measured'), found ? openSaid(found) : '');
    put(part('rest'), [missedSaid(), restSaid()].filter(Boolean).join(' '));
    part('yes').focus({ preventScroll: false });
  }
}

function openSaid({ open_s: open, openings, is_pressed: isPressed }) {
  const sd = (isPressed ? plan.pressed_sd_s : plan.counted_sd_s) / Math.sqrt(openings);
  const how = isPressed ? 'by your presses' : 'by the count';
  return `Open ${open.toFixed(1)} s ± ${sd < 0.095 ? sd.toFixed(2) : sd.toFixed(1)} s, ${how}${openings > 1 ? `, on average of ${openings} openings` : ''}. It is written down with the sheet.`;
}

const missedSaid = () => (line.missed ? `The cap was on before ${line.missed === 1 ? 'a pop' : `${line.missed} pops`}.` : '');
const restSaid = () => (plan.rest_s >= 5 ? `Let the heads rest ${Math.ceil(plan.rest_s)} s before the next sheet like this.` : '');

function chargingText() {
  const left = Math.ceil((memory.readyAt() - clock.now()) / 1000);
  return left > 0 ? `The heads are charging: ${left} s. The count waits for them.` : '';
}

/* ── pressed, tapped, sent ─────────────────────────────────────────────────────────────────── */

const isControl = target => Boolean(target.closest?.('button, a, input, summary, label, select, textarea'));

addEventListener('keydown', event => {
  const { key, target } = event;
  if (event.ctrlKey || event.altKey || event.metaKey || MUTE.includes(key) || /^F\d+$/.test(key)) return;
  if (state && !line.isOver) {
    event.preventDefault();
    if (key === 'Escape') stop(); else if (!event.repeat) press();
    return;
  }
  if (event.repeat || key === 'Escape') return;
  if ((key === 'Enter' || key === ' ') && isControl(target)) return;
  if (line?.isOver) {
    if (!PEDAL.includes(key)) return;
    event.preventDefault();
    if (clock.now() - overSince >= OVER_MS) part('yes').click();
    return;
  }
  if (/^[1-9]$/.test(key)) {
    const tick = ticks[Number(key) - 1];
    if (tick) { event.preventDefault(); tick.click(); }
    return;
  }
  if (key.length === 1 && key !== ' ' && document.querySelector(`.head nav [aria-keyshortcuts="${CSS.escape(key)}"]`)) return;
  if (target.matches?.('input[type=radio]') && key.startsWith('Arrow')) return;
  event.preventDefault();
  start();
}, { capture: true });

part('start').addEventListener('click', start);
part('stop').addEventListener('click', stop);
for (const where of [part('cover'), part('stage')]) where.addEventListener('pointerdown', () => press());

for (const tick of ticks) {
  tick.checked = memory.ticked(tick.value);
  tick.addEventListener('change', () => memory.tick(tick.value, tick.checked));
}
for (const choice of document.querySelectorAll('[data-mode-of]')) {
  choice.checked = choice.value === (wishes.mode ?? 'counted');
  choice.addEventListener('change', () => { wishes.mode = choice.value; memory.wish(wishes); });
}
for (const button of document.querySelectorAll('[data-wish]')) {
  button.addEventListener('click', () => {
    wishes[button.dataset.wish] = button.value === 'yes';
    memory.wish(wishes);
    unlockSound();
    if (wishes.voice) say('This is the voice of the count.');
    drawWishes();
  });
}

function drawWishes() {
  for (const button of document.querySelectorAll('[data-wish]')) button.setAttribute('aria-pressed', String(wishes[button.dataset.wish] === (button.value === 'yes')));
  put(part('voice'), wishes.voice === false ? 'No voice, as you said: calls stand as text.' : offlineVoice() ? 'The voice works without a network.' : 'No voice here works without a network: calls stand as text, tones sound.');
}

/** Sent once, and kept here until the desk has it. */
part('form').addEventListener('submit', async event => {
  event.preventDefault();
  event.stopPropagation();
  const form = part('form'), body = new URLSearchParams(new FormData(form, event.submitter));
  try {
    const answer = await fetch(form.action, { method: 'POST', body, redirect: 'manual' });
    if (answer.type !== 'opaqueredirect') { tell(await sentence(answer)); return; }
    state = null;
    memory.done();
    location.assign(page.dataset.back);
  } catch { tell('Not saved: the desk does not answer. The count is kept here; press again.'); }
});

async function sentence(answer) {
  const found = new DOMParser().parseFromString(await answer.text(), 'text/html').querySelector('.lead-text');
  return found?.textContent ?? 'It could not be written down. The count is kept here.';
}

for (const one of document.querySelectorAll('[data-script]')) one.hidden = false;
for (const one of document.querySelectorAll('[data-no-script]')) one.hidden = true;
speechSynthesis?.addEventListener?.('voiceschanged', drawWishes);
drawWishes();
if (wishes.voice === undefined && wishes.beeps === undefined) part('options').open = true;
if (!state && page.dataset.now === 'yes' && memory.first()) start(); else step();
setInterval(step, TICK_MS);
document.addEventListener('visibilitychange', step);
