// The count of one sheet as a function of its calls, of what was pressed, and of the moment: the same
// after a reload. All moments are milliseconds of one clock.
export const SETTLE_MS = 1000;   // a press so soon after the start is the same foot still
export const BOUNCE_MS = 250;    // and so soon after another is no second one

/** Whether a press at `at` counts. */
export const counts = (state, at) => at >= state.started + SETTLE_MS && at >= (state.presses.at(-1) ?? -Infinity) + BOUNCE_MS;

/**
 * Where the count is at `now`.
 * @param {object} plan A document count/1.
 * @param {{started: number, presses: number[], mode: 'pressed'|'counted', charged?: number}} state
 *   `charged`: the moment at which the last pop before this sheet would have been made with these heads.
 * @returns said: the calls so far with their moments; call: the last of them; next and nextAt: what comes and when
 *   (Infinity while a press is waited for); isDark; charging; openings with off and on; pops; missed; isOver.
 */
export function countAt(plan, state, now) {
  const line = { said: [], call: null, next: null, nextAt: Infinity, waits: false, charging: false, isDark: false, openings: [], pops: [], missed: 0, isOver: false };
  const presses = [...state.presses], pressed = state.mode === 'pressed' && plan.is_by_hand;
  let t = state.started, lastPop = state.charged ?? -Infinity, opening = null;
  const say = (call, at) => { line.said.push({ call, at }); line.call = call; line.isDark = call.is_dark; };
  const isShut = due => opening && pressed && presses.length > 0 && presses[0] < due;
  for (const call of plan.calls) {
    const plain = t + call.after_s * 1000, due = Math.max(plain, lastPop + call.after_pop_s * 1000);
    if ((call.kind === 'pop' || call.kind === 'lead') && isShut(due)) {
      if (call.kind === 'pop') line.missed += 1;
      continue;                                   // the cap went on before it
    }
    const waits = call.kind === 'wait' || (pressed && (call.kind === 'off' || call.kind === 'on'));
    const press = waits ? presses[0] : undefined, at = Math.min(due, press ?? Infinity);
    if (now < at) return coming(line, call, due, due > plain);
    say(call, at);
    if (waits && press === undefined) { line.waits = true; line.next = call; return line; }
    if (waits) presses.shift();
    t = press ?? due;
    if (call.kind === 'off') { opening = { off: t, on: null }; line.openings.push(opening); }
    if (call.kind === 'pop') { line.pops.push(t); lastPop = t; }
    if (call.kind === 'on') { opening.on = t; opening = null; }
    if (call.kind === 'wait') line.call = null;
  }
  line.isOver = true;
  return line;
}

function coming(line, call, due, charging) {
  return { ...line, next: call, nextAt: due, charging };
}

/** How long it was open, on average [s], over how many openings; nothing where no hand opened it. */
export function measured(plan, state, line) {
  const shut = line.openings.filter(opening => opening.on !== null);
  if (!plan.is_by_hand || !shut.length) return null;
  const sum = shut.reduce((all, opening) => all + opening.on - opening.off, 0);
  return { open_s: sum / shut.length / 1000, openings: shut.length, is_pressed: state.mode === 'pressed' };
}

/** Numbers that are said before the next call, and seconds that are counted while it is open, in (from, to]. */
export function numbersBetween(line, from, to) {
  const said = [];
  const last = line.said.at(-1);
  if (line.next && !line.waits && !line.isDark && (line.next.kind === 'off' || line.next.kind === 'pop')) {
    for (let n = 3; n > 0; n -= 1) if (isIn(line.nextAt - n * 1000, from, to)) said.push({ at: line.nextAt - n * 1000, n });
  }
  if (last?.call.is_counted) {
    const since = openedAt(line) ?? last.at, end = line.waits ? Infinity : line.nextAt;
    for (let n = 1; n <= 3600 && since + n * 1000 <= to; n += 1) {
      const at = since + n * 1000;
      if (isIn(at, from, to) && at < end - 400) said.push({ at, n });
    }
  }
  return said;
}

const openedAt = line => line.openings.find(opening => opening.on === null)?.off;
const isIn = (at, from, to) => at > from && at <= to;
