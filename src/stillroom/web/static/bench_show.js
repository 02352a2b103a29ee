// Draws the line: the large word, the trays as they stand, the light, what a press does, the buttons.
import { lookAsked, offersToStop } from './bench_line.js';
import { clockTime, hands, lasting, lights, pressSaid, stepName, trayWords } from './bench_words.js';

const SVG = 'http://www.w3.org/2000/svg';
const OTHERS_MOST = 13;
const part = name => document.querySelector(`[data-${name}]`);

/** Write only what changed: a screen reader and a finger keep their place. */
export function put(node, text) {
  if (node && node.textContent !== text) node.textContent = text;
}

export function show(node, isShown) {
  if (node && node.hidden === isShown) node.hidden = !isShown;
}

function leadIn(node, head, rest) {
  const whole = `${head} ${rest}`;
  if (node.dataset.said === whole) return;
  node.dataset.said = whole;
  node.replaceChildren(Object.assign(document.createElement('b'), { textContent: head }), ` ${rest}`);
}

export function drawLine(line, waiting) {
  drawHands(line, waiting);
  const light = lights(line);
  leadIn(part('lights'), light.head, light.text);
  part('lights').classList.toggle('is-white', light.isWhite === true);
  drawTrays(line);
  drawPress(line, waiting);
  drawLooks(line);
}

function drawHands(line, waiting) {
  const said = hands(line, waiting);
  put(part('word'), said.word);
  show(part('figure'), said.figure !== null);
  put(part('figure'), said.figure === null ? '' : String(said.figure));
  part('hands').classList.toggle('has-figure', said.figure !== null);
  put(part('now'), said.now);
  put(part('then'), said.then);
}

/* ── trays ─────────────────────────────────────────────────────────────────────────────────── */

function drawTrays(line) {
  const list = part('trays');
  const open = line.runs.filter(run => run.outcome === 'in_work');
  // Trays of a process that was changed while a sheet is still in one of them stay till it has left.
  const others = open.filter(run => !line.plan.steps.some(step => step.id === run.step.id)).map(run => run.step);
  const standing = [...line.plan.steps, ...others].flatMap(step => {
    const here = open.filter(run => run.step.id === step.id).sort((a, b) => a.beginAt - b.beginAt);
    return here.length ? here.map(run => ({ step, run })) : [{ step, run: null }];
  });
  const shape = standing.map(({ step, run }) => (run ? `${step.id}:${run.id}` : step.id)).join(' ');
  if (list.dataset.shape !== shape) {
    list.dataset.shape = shape;
    list.replaceChildren(...standing.map(({ step, run }) => (run ? fullTray(step, run) : emptyTray(step))));
    list.classList.toggle('is-full', standing.filter(({ run }) => run).length > 2);
  }
  standing.forEach(({ run }, n) => { if (run) fillTray(list.children[n], run, line); });
}

function element(tag, className, ...inside) {
  const made = document.createElement(tag);
  made.className = className;
  made.append(...inside);
  return made;
}

const emptyTray = step => element('li', 'tray', element('div', 'tub', element('span', '', step.name)));

function fullTray(step, run) {
  const water = element('div', 'water');
  water.setAttribute('aria-hidden', 'true');
  return element('li', 'tray on', element('div', 'tub', water, slip(run)),
    element('div', 'cap', element('p', 'tn', step.name), element('p', 'tw'), element('p', 'te')));
}

function fillTray(tray, run, line) {
  const byEye = run.phase === 'eye' || run.phase === 'past' || run.phase === 'held';
  tray.classList.toggle('eye', byEye);
  tray.classList.toggle('is-past', run.phase === 'past');
  const share = `${(run.share * 100).toFixed(1)}%`;
  if (tray.style.getPropertyValue('--w') !== share) tray.style.setProperty('--w', share);
  const [left, after] = trayWords(run, line);
  put(tray.querySelector('.tw'), left);
  put(tray.querySelector('.te'), after);
}

// Clip codes as they are felt: 1 to 4 say which corner is cut, 5 to 8 have a second nick beside it.
const CORNERS = ['0,18 18,0 120,0 120,76 0,76', '0,0 102,0 120,18 120,76 0,76', '0,0 120,0 120,58 102,76 0,76', '0,0 120,0 120,76 18,76 0,58'];
const NICKS = ['M34 0 v10 h8 v-10', 'M78 0 v10 h8 v-10', 'M78 76 v-10 h8 v10', 'M34 76 v-10 h8 v10'];
const WHOLE = '0,0 120,0 120,76 0,76';

export function slip({ mark, clip }) {
  const drawn = document.createElementNS(SVG, 'svg');
  drawn.setAttribute('class', 'slip');
  drawn.setAttribute('viewBox', '-3 -3 126 82');
  drawn.setAttribute('role', 'img');
  drawn.setAttribute('aria-label', `Sheet ${mark}${clip ? `, clip ${clip}` : ''}`);
  const add = (tag, values, text = '') => {
    const node = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(values)) node.setAttribute(name, value);
    node.textContent = text;
    drawn.append(node);
  };
  add('polygon', { points: clip ? CORNERS[(clip - 1) % 4] : WHOLE });
  if (clip > 4) add('path', { class: 'ln', d: NICKS[(clip - 1) % 4] });
  add('text', { x: '60', y: '49', 'text-anchor': 'middle', ...(mark.length > 6 ? { textLength: '96', lengthAdjust: 'spacingAndGlyphs' } : {}) }, mark);
  return drawn;
}

/* ── what a press does ─────────────────────────────────────────────────────────────────────── */

function drawPress(line, waiting) {
  const press = pressSaid(line, waiting);
  const work = line.runs.filter(run => run.outcome === 'in_work');
  leadIn(part('press'), 'Pedal or any key now:', `${press.text}.`);
  const timed = work.filter(run => ['work', 'again', 'lift'].includes(run.phase)).sort((a, b) => a.end - b.end)[0];
  const eye = work.filter(run => run.phase === 'eye' || run.phase === 'past').sort((a, b) => a.enteredAt - b.enteredAt)[0];
  const longer = part('longer'), done = part('done');
  show(part('running'), work.length > 0);
  longer.disabled = !timed;
  put(longer.querySelector('small'), timed ? `${timed.mark}, ${lasting(line.plan.longer_s)}` : 'no timed tray');
  done.disabled = !eye?.isDue;
  put(done.querySelector('small'), !eye ? 'no tray by eye' : eye.isDue ? `${eye.mark}, ${stepName(eye.step)}` : `${eye.mark}: not yet`);
  longer.classList.toggle('main', press.kind === 'longer');
  done.classList.toggle('main', press.kind === 'done');
  longer.dataset.run = timed?.id ?? '';
  done.dataset.run = eye?.id ?? '';
}

/** The buttons that stop one sheet; shown by the first of two taps. */
export function drawStops(line, isAsked, stop) {
  const stops = part('stops'), works = line.runs.filter(run => run.outcome === 'in_work' || run.outcome === 'armed');
  show(stops, isAsked && works.length > 0);
  part('stop').setAttribute('aria-expanded', String(isAsked));
  const shape = works.map(run => run.id).join(' ');
  if (stops.dataset.shape === shape) return;
  stops.dataset.shape = shape;
  stops.replaceChildren(...works.map(run => {
    const button = element('button', 'btn', `Stop ${run.mark}`);
    button.type = 'button';
    button.addEventListener('click', () => stop(run.id));
    return button;
  }));
}

function drawLooks(line) {
  const asked = line.runs.filter(run => lookAsked(run)).sort((a, b) => b.enteredAt - a.enteredAt)[0];
  const offered = line.runs.find(run => offersToStop(run));
  const looks = part('looks'), offer = part('offer');
  show(looks, Boolean(asked) && !offered);
  looks.dataset.run = asked?.id ?? '';
  looks.dataset.look = asked ? lookAsked(asked) : '';
  put(looks.querySelector('legend'), asked ? `${asked.mark}: the finished sheet will be` : '');
  show(offer, Boolean(offered));
  offer.dataset.run = offered?.id ?? '';
  put(offer.querySelector('legend'), offered ? `${offered.mark} will be ${offered.looks.at(-1).word.replace('_', ' ')}. By a stop or more?` : '');
}

/* ── starting ──────────────────────────────────────────────────────────────────────────────── */

/** The next sheet large; its second line says when it can go in. Others wait in a fold below. */
export function drawStarts(sheets, { armed, isIdle }, saying, start) {
  const box = part('starts'), others = part('other-starts');
  const shape = `${sheets.map(key).join(' ')}|${armed?.id ?? ''}`;
  if (box.dataset.shape !== shape) {
    box.dataset.shape = shape;
    const made = sheets.map((sheet, n) => startButton(sheet, n === 0, start));
    box.replaceChildren(...made.slice(0, 1));
    others.replaceChildren(...made.slice(1, OTHERS_MOST));
  }
  show(box, sheets.length > 0);
  show(part('others'), sheets.length > 1);
  box.classList.toggle('is-first', isIdle);
  if (sheets.length) put(box.querySelector('small'), saying(sheets[0]));
}

function startButton(sheet, isNext, start) {
  const button = element('button', isNext ? 'btn' : 'btn soft', `Start ${sheet.mark}`, ...(isNext ? [element('small', '')] : []));
  button.type = 'button';
  button.addEventListener('click', event => { start(sheet); if (event.detail) button.blur(); });
  return button;
}

export const key = sheet => `${sheet.sitting}/${sheet.number}`;

/* ── what is said besides ──────────────────────────────────────────────────────────────────── */

/** Black labels: not saved, a clock set back, an event the book would not take. */
export function drawNotices(notices) {
  const box = part('notices'), shape = JSON.stringify(notices);
  if (box.dataset.shape === shape) return;
  box.dataset.shape = shape;
  box.replaceChildren(...notices.map(({ label, text }) => {
    const made = element('div', 'caution', element('b', '', label), element('p', '', text));
    return made;
  }));
}

export const notSaved = since => ({ label: 'Not saved', text: `Not saved since ${clockTime(since)}. Trying again. Your taps are kept here.` });

/** Cautions of steps that come next for a sheet in work; with nothing in work, of every step. */
export function drawCautions(line) {
  const work = line.runs.filter(run => run.outcome === 'in_work' || run.outcome === 'armed');
  const near = new Set(work.flatMap(run => [run.step?.id, run.next?.id]).filter(Boolean));
  let shown = 0;
  document.querySelectorAll('[data-caution]').forEach(box => {
    const isNear = near.has(box.dataset.caution);
    box.classList.toggle('is-near', isNear);
    shown += isNear ? 1 : 0;
  });
  return shown;
}

export function drawCall(text) {
  const said = part('call');
  // The same words twice in a row are still two calls: a new node is announced anew.
  said.replaceChildren(Object.assign(document.createElement('span'), { textContent: text }));
}
