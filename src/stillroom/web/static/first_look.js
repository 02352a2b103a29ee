// Works out anew what the answers lead to while they are tapped; without it a button asks for it.
const form = document.querySelector('[data-first-look]'), shown = document.querySelector('[data-look]');
let latest = 0;

form.querySelector('[data-no-script]').hidden = true;
form.addEventListener('change', async () => {
  const mine = ++latest;
  const answers = new URLSearchParams(new FormData(form));
  answers.delete('form_id');
  try {
    const answer = await fetch(`${form.action}?${answers}`, { headers: { 'X-Part': 'first-look' } });
    const part = await answer.text();
    if (mine === latest) shown.innerHTML = part;
  } catch { /* the server is away for a moment; the answers stay as tapped */ }
});
