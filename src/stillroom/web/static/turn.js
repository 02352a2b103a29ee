// The set list: a tap on a wheel counts at once, the odds follow when the desk has answered.
// Without this file each wheel button is a plain form and the page comes back with the value set.
let asking = null;

const main = () => document.querySelector('#main');

// Only the main part is taken over: the frame, its mode and its style stay as they are.
function mainOf(html) {
  const part = document.createElement('template');
  part.innerHTML = html.slice(html.indexOf('<main'), html.lastIndexOf('</main>') + '</main>'.length);
  return part.content.querySelector('#main');
}

function showAtOnce(form, button) {
  const value = button.value, cut = value.indexOf('=');
  if (cut < 0) return;
  const knob = value.slice(0, cut), field = form.elements.namedItem(knob);
  if (field instanceof HTMLInputElement && field.type === 'hidden') field.value = value.slice(cut + 1);
  const box = button.closest('details'), figure = box?.querySelector('summary [data-figure]');
  if (figure && button.dataset.figure) figure.textContent = button.dataset.figure;
  if (box) { box.open = false; box.querySelector('summary').focus({ preventScroll: true }); }
}

async function turn(form, button) {
  const body = new URLSearchParams(new FormData(form, button));
  showAtOnce(form, button);
  asking?.abort();
  asking = new AbortController();
  const mine = asking;
  try {
    const answer = await fetch(button.formAction, { method: 'POST', body, signal: mine.signal });
    const fresh = mainOf(await answer.text());
    if (mine !== asking || !fresh?.querySelector('#make')) { if (mine === asking) location.reload(); return; }
    const knob = document.activeElement?.closest('[data-knob]')?.dataset.knob;
    main().replaceWith(fresh);
    if (answer.ok) history.replaceState(null, '', answer.url);
    if (knob) fresh.querySelector(`[data-knob="${CSS.escape(knob)}"] > summary`)?.focus({ preventScroll: true });
  } catch (error) {
    if (error.name === 'AbortError') return;
    say('Stillroom does not answer. What you set is kept on this page; tap again to try.');
  }
}

function say(sentence) {
  let box = document.querySelector('#turn-said');
  if (!box) {
    box = Object.assign(document.createElement('div'), { id: 'turn-said', className: 'caution' });
    box.setAttribute('role', 'status');
    box.append(Object.assign(document.createElement('b'), { textContent: 'No answer' }), document.createElement('p'));
    document.querySelector('#make')?.before(box);
  }
  box.querySelector('p').textContent = sentence;
}

document.addEventListener('submit', event => {
  const button = event.submitter;
  if (event.target.id !== 'make' || button?.name !== 'turn') return;
  event.preventDefault();
  turn(event.target, button);
}, true);

// An open wheel comes up with the present value in its middle.
document.addEventListener('toggle', event => {
  if (!event.target.matches?.('details.knob[open]')) return;
  const marks = event.target.querySelector('.marks'), now = marks?.querySelector('.is-now, .is-plan');
  if (now) marks.scrollTop = now.offsetTop - marks.clientHeight / 2 + now.clientHeight / 2;
}, true);

document.addEventListener('keydown', event => {
  if (event.key !== 'Escape') return;
  const open = document.querySelector('details.knob[open]');
  if (open) { open.open = false; open.querySelector('summary').focus(); }
});
