// Keeps the screen on while a sheet is in work, where the browser grants it, and tells whether it does.
let lock = null, wanted = false;

export const awakeState = () => (!('wakeLock' in navigator) ? 'none' : lock && !lock.released ? 'on' : 'off');

async function ask() {
  if (!wanted || !('wakeLock' in navigator) || document.visibilityState !== 'visible' || (lock && !lock.released)) return;
  try { lock = await navigator.wakeLock.request('screen'); } catch { lock = null; }
}

export function stayAwake(isWanted) {
  wanted = isWanted;
  if (wanted) { ask(); return; }
  lock?.release().catch(() => {});
  lock = null;
}

document.addEventListener('visibilitychange', ask);
