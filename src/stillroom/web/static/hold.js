// Going bright is a press held for 1.2 s, so that a wet sleeve cannot light the room.
// Enter and Space held work the same way. A click that came from neither, as from a screen
// reader or a switch, goes to the page that asks.
const HOLD_MS = 1200;

export function holdToGoBright(button) {
  if (!button) return;
  const form = button.form, label = button.querySelector('[data-hold-label]'), said = label.textContent;
  let started = 0, frame = 0, pressed = false;

  const goBright = () => {
    const yes = Object.assign(document.createElement('input'), { type: 'hidden', name: 'confirmed', value: 'held' });
    form.append(yes);
    form.requestSubmit(button);
  };
  const tick = now => {
    const share = (now - started) / HOLD_MS;
    button.style.setProperty('--held', `${Math.min(100, share * 100)}%`);
    if (share >= 1) { stop(); pressed = false; goBright(); } else frame = requestAnimationFrame(tick);
  };
  const start = () => {
    if (started) return;
    pressed = true;
    started = performance.now();
    button.classList.add('held');
    frame = requestAnimationFrame(tick);
  };
  const stop = () => {
    cancelAnimationFrame(frame);
    button.classList.remove('held');
    started = 0;
  };
  const isKey = event => event.key === 'Enter' || event.key === ' ';

  button.addEventListener('pointerdown', event => { if (event.button === 0) start(); });
  for (const end of ['pointerup', 'pointerleave', 'pointercancel', 'blur']) button.addEventListener(end, stop);
  button.addEventListener('keydown', event => { if (isKey(event)) { event.preventDefault(); start(); } });
  button.addEventListener('keyup', event => { if (isKey(event)) { event.preventDefault(); stop(); pressed = false; } });
  button.addEventListener('contextmenu', event => event.preventDefault());
  button.addEventListener('click', event => {
    if (!pressed) return;
    event.preventDefault();
    pressed = false;
    label.textContent = 'Keep holding';
    setTimeout(() => { label.textContent = said; }, 1500);
  });
}
