// The dimmer changes at once; the server is told, so that the next page is as dim.
const STEPS = 3;

export function dimAtOnce(form) {
  if (!form) return;
  const root = document.documentElement, button = form.querySelector('button');
  form.addEventListener('submit', event => {
    event.preventDefault();
    const now = Number(button.value);
    root.dataset.dim = String(now);
    fetch(form.action, { method: 'POST', body: new URLSearchParams({ dim: String(now), back: '/' }), redirect: 'manual' })
      .catch(() => { /* the screen is dim already; the next page asks again */ });
    button.value = String((now + 1) % STEPS);
  });
}
