// Small conveniences; every page works without this file.
import { holdToGoBright } from './hold.js';
import { dimAtOnce } from './dimmer.js';
import { lettersLead } from './letters.js';

holdToGoBright(document.querySelector('[data-hold]'));
dimAtOnce(document.querySelector('[data-dimmer]'));
lettersLead();

// The light of the room, for a page of the bench that is kept for a reload without a network. Going
// dark counts from the tap on, not only once the dark page has come.
const remember = mode => { try { localStorage.setItem('room', mode); } catch { /* nothing is kept here */ } };
remember(document.documentElement.dataset.mode);
document.addEventListener('submit', event => { if (event.submitter?.name === 'mode' && event.submitter.value === 'safelight') remember('safelight'); });

// A page that comes back from the browser's memory may be from another light: fetch it anew.
addEventListener('pageshow', event => { if (event.persisted) location.reload(); });

// A form sent once is sent: a second tap does nothing (the server would not write twice either).
document.addEventListener('submit', event => {
  const form = event.target;
  if (event.defaultPrevented || !form.querySelector('[name=form_id]')) return;
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = 'yes';
});
