// A letter leads to a page of the running head; in a field it is only a letter. Links that carry no
// letter, because letters are turned off, are never found.
const WRITES = 'input:not([type=radio], [type=checkbox]), textarea, select, [contenteditable]';

export function lettersLead() {
  document.addEventListener('keydown', event => {
    const { key, target } = event;
    if (key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (event.repeat || target.closest?.(WRITES)) return;
    document.querySelector(`.head nav [aria-keyshortcuts="${CSS.escape(key)}"]`)?.click();
  });
}
