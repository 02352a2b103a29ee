// The bench in words: what the hands do, which light the room may have, what a press does now.
import { lookAsked, pressOf } from './bench_line.js';

const ONES = ['now', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten'];
const TENS = { 10: 'ten', 20: 'twenty', 30: 'thirty', 40: 'forty', 50: 'fifty' };
const MINUTES = ['', 'a minute', 'two minutes', 'three minutes', 'four minutes', 'five minutes', 'six minutes', 'seven minutes', 'eight minutes', 'nine minutes', 'ten minutes'];

/** A length of time as it is said at the bench: fifty seconds, a minute ten, two minutes and a half. */
export function inWords(seconds) {
  if (seconds <= 10) return ONES[Math.max(0, Math.ceil(seconds))];
  const tens = Math.round(seconds / 10) * 10;
  if (tens >= 3600) {
    const hours = Math.floor(tens / 3600), rest = Math.round((tens % 3600) / 60);
    return `${hours === 1 ? 'an hour' : `${hours} hours`}${rest ? ` and ${rest} min` : ''}`;
  }
  const minutes = Math.floor(tens / 60), rest = tens % 60;
  if (!minutes) return `${TENS[rest]} seconds`;
  const said = MINUTES[minutes] ?? `${minutes} minutes`;
  return rest === 0 ? said : rest === 30 ? `${said} and a half` : `${said} ${TENS[rest]}`;
}

/** With its unit also where it is short: seven seconds. */
export const lasting = seconds => {
  const said = inWords(seconds);
  return seconds > 10 ? said : said === 'now' ? 'no time' : `${said} ${said === 'one' ? 'second' : 'seconds'}`;
};

/** TR 1, OM 5 and OM 4. */
export const listed = marks => (marks.length < 2 ? marks.join('') : `${marks.slice(0, -1).join(', ')} and ${marks.at(-1)}`);

export const capital = text => text.charAt(0).toUpperCase() + text.slice(1);
const lower = text => text.charAt(0).toLowerCase() + text.slice(1);
const sentence = text => (/[.!?]$/.test(text) ? text : `${text}.`);
const isAre = marks => (marks.length > 1 ? 'are' : 'is');

export const stepName = step => lower(step.name);

/** TR 1 into the bleach, gloves. */
export const goes = (mark, step) => sentence(/^(in|out|to)/.test(step.voice) ? `${mark} ${step.voice}` : `${mark}: ${step.voice}`);

/** A moment as the clock on the wall shows it. */
export const clockTime = at => new Date(at).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });

const URGENCY = { drain: 0, lift: 1, past: 2 };

/** The run the hands are with: a lift first, then what is past its time, a look, the hand that rocks. */
function foremost(line) {
  const work = line.runs.filter(run => run.outcome === 'in_work');
  const urgent = work.filter(run => run.phase in URGENCY).sort((a, b) => URGENCY[a.phase] - URGENCY[b.phase] || a.end - b.end)[0];
  if (urgent) return { run: urgent };
  const armed = line.runs.filter(run => run.phase === 'armed').sort((a, b) => a.beginAt - b.beginAt)[0];
  if (armed && armed.leftMs <= line.plan.ahead_s * 1000) return { run: armed };
  const look = work.find(run => lookAsked(run));
  if (look) return { run: look, isLook: true };
  const busy = work.filter(run => run.step.word !== 'Leave' && run.phase !== 'held');
  const first = (busy.length ? busy : work).sort((a, b) => a.end - b.end)[0];
  return { run: first ?? armed ?? null };
}

/** The large word, its figure in the last ten seconds, and two sentences. */
export function hands(line, waiting) {
  const { run, isLook } = foremost(line), inVessel = line.plan.process.vessel !== 'trays';
  if (!run) return nothing(waiting, line);
  const { mark, step, phase, leftMs } = run, left = leftMs / 1000, figure = Math.max(1, Math.ceil(left));
  if (phase === 'armed') {
    return {
      word: 'Wait', figure: left <= 10 ? figure : null, run, now: `${mark} goes in in ${lasting(left)}.`,
      then: 'So spaced that no two lifts fall together and the dark lasts while it is needed.',
    };
  }
  const go = sentence(`${mark}: ${step.then || 'out'}`), after = run.next ? goes(mark, run.next) : `${mark} is through.`;
  if (phase === 'past') {
    const over = -(run.enteredAt + step.longest_s * 1000 - line.now) / 1000;
    return { word: inVessel ? 'Drain' : 'Lift', figure: null, run, now: `${mark} is past its longest time by ${lasting(over)}.`, then: `${capital(sentence(step.then))} Then press.` };
  }
  if (phase === 'lift') return { word: run.liftMs ? (inVessel ? 'Drain' : 'Lift') : step.word, figure, run, now: go, then: run.next?.look ? `Then look at ${mark}, if you like.` : `Then ${after}` };
  if (phase === 'drain') return { word: run.liftMs ? 'Drain' : step.word, figure, run, now: after, then: run.next?.look ? `Then look at ${mark}, if you like.` : '' };
  if (isLook) return { word: 'Look', figure: null, run, now: `at ${mark}. The finished sheet will be:`, then: 'Red light makes everything look darker than it is.' };
  if (phase === 'held') return { word: 'Leave', figure: null, run, now: heldSentence(run), then: '' };
  if (phase === 'eye') {
    const least = (run.enteredAt + (step.least_s ?? 0) * 1000 - line.now) / 1000;
    return {
      word: step.word, figure: null, run, now: sentence(`${mark}: ${step.eye_text}`),
      then: least > 0 ? `Not before its least time, ${lasting(least)} from now.` : `Then press, or tap Done.`,
    };
  }
  if (phase === 'again') return { word: step.word, figure: null, run, now: `${mark}: done. ${capital(againSaid(run, line))}`, then: `In ${lasting(left)} ${sentence(step.then)}` };
  const wait = run.heldFor ? ` ${heldSentence(run)}` : '';
  return { word: step.word, figure: null, run, now: sentence(`${mark}: ${step.agitation || stepName(step)}`), then: `In ${lasting(left)} ${sentence(step.then)}${wait}` };
}

export function againSaid(run) {
  const more = (run.end - run.liftMs - run.doneAt) / 1000;
  if (run.heldFor) return `${lasting(more)} more, so that two lifts do not meet.`;
  return more > 1 ? `${lasting(more)} more to be sure.` : 'lift it.';
}

function nothing(waiting, line) {
  const last = line.runs.filter(run => run.outcome === 'through').sort((a, b) => b.endedAt - a.endedAt)[0];
  const through = last ? `${last.mark} is through. Dry it face up.` : '';
  if (!waiting) return { word: 'Empty', figure: null, run: null, now: through || 'No exposed sheet is waiting.', then: 'A sheet is written down when it is shot; it waits here then.' };
  return { word: 'Ready', figure: null, run: null, now: `${waiting.mark} is next${waiting.clip ? `, clip ${waiting.clip}` : ''}.`, then: `Press any key, the pedal or Start as it goes ${line.plan.steps[0].voice.split(',')[0]}.` };
}

export function heldSentence(run) {
  const by = listed(run.heldFor?.by ?? []);
  if (run.heldFor?.reason === 'lights') return `${run.mark} waits in the water for its lights: ${by} still ${run.heldFor.by.length > 1 ? 'need' : 'needs'} the dark.`;
  if (run.heldFor?.reason === 'tray') return `${run.mark} stays in the water: ${by} ${isAre(run.heldFor.by)} before it.`;
  return `${run.mark} stays in a little longer, so that two lifts do not meet.`;
}

/** Which light the whole bench bears, from its most tender sheet. */
export function lights(line) {
  const red = line.runs.filter(run => (run.outcome === 'in_work' && run.step.light === 'red') || run.phase === 'armed');
  const waits = line.runs.filter(run => run.heldFor?.reason === 'lights').map(run => run.mark);
  const more = waits.length ? `; ${listed(waits)} ${waits.length > 1 ? 'wait' : 'waits'} for ${waits.length > 1 ? 'their' : 'its'} lights` : '';
  if (red.length) {
    const bleach = run => run.steps.findIndex(step => step.id === 'bleach');
    const before = red.filter(run => run.index <= bleach(run)).map(run => run.mark), after = red.filter(run => run.index > bleach(run)).map(run => run.mark);
    const parts = [
      before.length ? `${listed(before)} ${isAre(before)} not through the bleach` : '',
      after.length ? `${listed(after)} ${isAre(after)} still in the water after it` : '',
    ].filter(Boolean).join('; ');
    return { isWhite: false, head: 'Red only.', text: `${parts}${more}.` };
  }
  const work = line.runs.filter(run => run.outcome === 'in_work');
  if (!work.length) return { isWhite: null, head: 'Red only', text: 'from the moment a sheet leaves its holder.' };
  return { isWhite: true, head: 'White light may come on.', text: `Every sheet on the bench can bear it. Boxes and holders closed first.` };
}

/** What the pedal, any key and the two large buttons do at this moment. */
export function pressSaid(line, waiting) {
  const { kind, run } = pressOf(line);
  if (kind === 'done') return { kind, run, text: `done for ${run.mark}, ${stepName(run.step)}` };
  if (kind === 'longer') return { kind, run, text: `longer for ${run.mark}, ${lasting(line.plan.longer_s)}` };
  if (kind === 'not yet') {
    const least = (run.enteredAt + (run.step.least_s ?? 0) * 1000 - line.now) / 1000;
    return { kind, run, text: `nothing yet: ${run.mark} has ${lasting(least)} of its least time to go` };
  }
  if (kind === 'begin' && waiting) return { kind, run: null, text: `starts ${waiting.mark}` };
  return { kind: 'nothing', run: null, text: 'nothing: no tray waits for it' };
}

/** Time left in a tray, in words, and what comes after it. */
export function trayWords(run, line) {
  const { phase, step, next } = run;
  const after = next ? `then ${stepName(next)}${next.ends === 'time' ? `, ${lasting(next.seconds)}` : next.ends === 'eye' ? ', by eye' : ''}` : '';
  if (phase === 'eye' || phase === 'past') return [phase === 'past' ? 'past its time' : 'by eye', step.eye_text];
  if (phase === 'held') return ['waits', heldSentence(run)];
  if (phase === 'drain') return [run.liftMs ? 'drain' : inWords(run.leftMs / 1000), after];
  return [inWords(run.leftMs / 1000), run.heldFor && line ? heldSentence(run) : after];
}
