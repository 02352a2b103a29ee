// A limit tapped: its line and its sentence change at once, the rest follows from the desk.
// Without this file the limits, and everything else that can be chosen, are one plain form.
const form = document.querySelector('#ask');
const RETRY_MS = 60_000, LONGEST_MS = 6 * 3600 * 1000;
let asking = null, waiting = 0;

const limits = () => [...document.querySelectorAll('[name=within]')];

function showAtOnce(input) {
  document.querySelector('[data-answer]').textContent = input.dataset.says;
  const line = document.querySelector('[data-limit]'), key = input.dataset.key;
  if (key) line.setAttribute('href', `#iso-${key}`); else line.removeAttribute('href');
  for (const label of document.querySelectorAll('.on-line')) {
    const isLimit = label.dataset.key === key;
    label.classList.toggle('is-limit', isLimit);
    label.classList.toggle('wide-only', !isLimit && label.dataset.wide === 'yes');
    if ('spare' in label.dataset) label.hidden = !isLimit;
  }
}

// Only what was asked: an address that can be kept is a short one.
function address() {
  const asked = new URLSearchParams();
  const here = new URLSearchParams(location.search);
  for (const [name, value] of here) if (name !== 'within' && value) asked.set(name, value);
  const chosen = limits().find(input => input.checked);
  if (chosen) asked.set('within', chosen.value);
  return `${form.getAttribute('action')}?${asked}`;
}

// What was open stays open, and the focus stays where it was.
function takeOver(part, now) {
  const touched = of => [...of.querySelectorAll('a, button, summary')];
  const at = touched(part).indexOf(document.activeElement);
  const open = [...part.querySelectorAll('details')].map(fold => fold.open);
  part.replaceWith(now);
  now.querySelectorAll('details').forEach((fold, n) => { fold.open = open[n] ?? false; });
  if (at >= 0) touched(now)[at]?.focus({ preventScroll: true });
}

// Only the main part is taken over: the frame, its mode and its style stay as they are.
function mainOf(html) {
  const part = document.createElement('template');
  part.innerHTML = html.slice(html.indexOf('<main'), html.lastIndexOf('</main>') + '</main>'.length);
  return part.content;
}

async function fresh() {
  asking?.abort();
  asking = new AbortController();
  const mine = asking, where = address();
  try {
    const answer = await fetch(where, { signal: mine.signal });
    const html = mainOf(await answer.text());
    if (mine !== asking) return;
    if (!answer.ok || !html.querySelector('[data-fresh]')) { location.assign(where); return; }
    for (const part of document.querySelectorAll('[data-fresh]')) {
      const now = html.querySelector(`[data-fresh="${part.dataset.fresh}"]`);
      if (now) takeOver(part, now);
    }
    const says = html.querySelector('[data-answer]').textContent, box = document.querySelector('[data-answer]');
    if (box.textContent !== says) box.textContent = says;
    history.replaceState(null, '', where);
    again();
  } catch (error) {
    if (error.name !== 'AbortError') again(RETRY_MS);
  }
}

// A page that lies open works itself anew when the plan of now has gone stale.
function again(in_ms) {
  clearTimeout(waiting);
  const until = Date.parse(document.querySelector('[data-until]')?.dataset.until ?? '');
  const left = in_ms ?? until - Date.now() + 1000;
  if (left > 0 && left < LONGEST_MS) waiting = setTimeout(fresh, left);
}

if (form) {
  for (const button of document.querySelectorAll('[data-no-script]')) button.hidden = true;
  document.addEventListener('change', event => {
    if (event.target.name !== 'within') return;
    showAtOnce(event.target);
    fresh();
  });
  again();
}
