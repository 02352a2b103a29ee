// Works out anew what the answers lead to while they are tapped; without it a button asks for it.
const form = document.querySelector('[data-first-look]'), shown = document.querySelector('[data-look]');
let latest = 0;

form.querySelector('[data-no-script]').hidden = true;
form.addEventListener('change', async () => {
  const mine = ++latest;
  const answers = new URLSearchParams(new FormData(form));
  answers.delete('form_id');
  try {
    const page = await fetch(`${form.action}?${answers}`);
    const found = new DOMParser().parseFromString(await page.text(), 'text/html').querySelector('[data-look]');
    if (mine === latest && found) shown.replaceChildren(...found.childNodes);
  } catch { /* the server is away for a moment; the answers stay as tapped */ }
});
