// Aims: brackets that can be dragged, or moved by arrow keys, a third of a stop at a time. The
// selects beside them stay the truth: without this file they are all there is.
import { thirds } from './strip.js';

function place(form, row) {
  const at = row.querySelector('[name^="at:"]'), tol = row.querySelector('[name^="tol:"]'), skip = row.querySelector('[name^="skip:"]');
  const low = Number(form.dataset.low), high = Number(form.dataset.high), want = row.querySelector('.want');
  const share = stops => `${Math.min(1, Math.max(0, (stops - low) / (high - low))) * 100}%`;
  const middle = Number(at.value) / 3, half = Number(tol.value);
  want.style.setProperty('--a', share(middle - half));
  want.style.setProperty('--b', share(middle + half));
  want.hidden = skip.checked;
  row.classList.toggle('off', skip.checked);
  want.setAttribute('aria-valuenow', middle.toFixed(2));
  const said = at.selectedOptions[0].textContent;
  want.setAttribute('aria-valuetext', skip.checked ? 'don’t care' : `${said}, give or take ${thirds(half)}`);
}

function start(form) {
  const low = Number(form.dataset.low), high = Number(form.dataset.high);
  form.querySelectorAll('.aim').forEach(row => {
    const track = row.querySelector('.track'), at = row.querySelector('[name^="at:"]');
    let want = track.querySelector('.want');
    if (!want) { want = Object.assign(document.createElement('i'), { className: 'want' }); track.append(want); }
    track.removeAttribute('aria-hidden');
    want.tabIndex = 0;
    want.setAttribute('role', 'slider');
    want.setAttribute('aria-label', `${row.querySelector('.name').textContent}, middle of the brackets`);
    want.setAttribute('aria-valuemin', at.options[0].value / 3);
    want.setAttribute('aria-valuemax', at.options[at.options.length - 1].value / 3);
    const move = by => {
      const index = Math.min(at.options.length - 1, Math.max(0, at.selectedIndex + by));
      at.selectedIndex = index;
      row.querySelector('[name^="skip:"]').checked = false;
      place(form, row);
    };
    want.addEventListener('keydown', event => {
      const by = { ArrowLeft: -1, ArrowDown: -1, '[': -1, ArrowRight: 1, ArrowUp: 1, ']': 1 }[event.key];
      if (!by) return;
      event.preventDefault();
      move(by);
    });
    want.addEventListener('pointerdown', event => {
      event.preventDefault();
      want.focus({ preventScroll: true });
      want.setPointerCapture(event.pointerId);
      const third = track.clientWidth / (high - low) / 3;
      let from = event.clientX;
      const drag = moved => {
        const by = Math.trunc((moved.clientX - from) / third);
        if (by) { move(by); from += by * third; }
      };
      want.addEventListener('pointermove', drag);
      const stop = () => want.removeEventListener('pointermove', drag);
      want.addEventListener('pointerup', stop, { once: true });
      want.addEventListener('pointercancel', stop, { once: true });
    });
    row.addEventListener('change', () => place(form, row));
    place(form, row);
  });
  form.querySelector('[data-drag]').hidden = false;
}

document.querySelectorAll('[data-aims]').forEach(start);
