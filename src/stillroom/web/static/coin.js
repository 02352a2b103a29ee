// Calls out the coins of the coin test; the page can be followed with any clock without this file.
import { LineClock } from './bench_clock.js';
import { say, sound, unlockSound } from './bench_sound.js';
import { lasting } from './bench_words.js';

const KEY = 'stillroom.coin', TICK_MS = 250, MINUTE_MS = 60_000;
const NAMES = ['first', 'second', 'third', 'fourth'];
const root = document.querySelector('[data-coins]');
const part = name => document.querySelector(`[data-coin-${name}]`);
const minutes = root.dataset.minutes.split(' ').map(Number);
let kept = null;
try { kept = JSON.parse(localStorage.getItem(KEY) ?? 'null'); } catch { /* nothing is kept here */ }
const clock = new LineClock(kept?.clock ?? {});

function keep() {
  try { localStorage.setItem(KEY, JSON.stringify(kept && { ...kept, clock: clock.kept() })); } catch { /* it runs on while the page is open */ }
}

part('start').addEventListener('click', () => {
  unlockSound();
  clock.forget();
  kept = { began: clock.now(), called: 0 };
  tick();
});

function tick() {
  part('start').textContent = kept ? 'Start again' : 'Coins are down, start';
  if (!kept) return;
  const gone = clock.now() - kept.began, next = minutes.findIndex(minute => gone < minute * MINUTE_MS);
  const due = next < 0 ? minutes.length : next;
  if (due > kept.called) {
    kept.called = due;
    const rest = due === minutes.length ? ' That was the last: cover the screen, and through the line with it.' : '';
    part('call').textContent = `${minutes[due - 1]} minutes: take the ${NAMES[due - 1]} coin away.${rest}`;
    sound('caution');
    say(part('call').textContent);
  }
  const left = next < 0 ? 0 : (minutes[next] * MINUTE_MS - gone) / 1000;
  const now = next < 0 ? 'All coins are away.' : `The ${NAMES[next]} coin in ${lasting(left)}.`;
  if (part('now').textContent !== now) part('now').textContent = now;
  keep();
}

root.hidden = false;
tick();
setInterval(tick, TICK_MS);
