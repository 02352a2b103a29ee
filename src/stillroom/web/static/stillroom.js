// Small conveniences; every page works without this file.
import { holdToGoBright } from './hold.js';
import { dimAtOnce } from './dimmer.js';
import { lettersLead } from './letters.js';

holdToGoBright(document.querySelector('[data-hold]'));
dimAtOnce(document.querySelector('[data-dimmer]'));
lettersLead();

// The light of the room, for a page of the bench that is kept for a reload without a network.
try { localStorage.setItem('room', document.documentElement.dataset.mode); } catch { /* nothing is kept here */ }

// A page that comes back from the browser's memory may be from another light: fetch it anew.
addEventListener('pageshow', event => { if (event.persisted) location.reload(); });

// A form sent once is sent: a second tap does nothing (the server would not write twice either).
document.addEventListener('submit', event => {
  const form = event.target;
  if (event.defaultPrevented || !form.querySelector('[name=form_id]')) return;
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = 'yes';
});
