// What the bench calls out, between one look at the line and the next. Each call is voice, sound and text.
import { lookAsked } from './bench_line.js';
import { againSaid, capital, goes, hands, heldSentence, lasting, lights, stepName } from './bench_words.js';

const STALE_MS = 3000;      // a call older than this is no longer called
const ASLEEP_MS = 5000;     // so long without a look: the page slept or was away
const CAUTION_AHEAD_MS = 15_000;
const REPEAT_MS = 10_000;
const LOOK_AFTER_MS = 2000;

/**
 * Calls due from the moment of one line on and before that of the next, in order.
 * @returns {{at: number, text: string, sound: string}[]} sound: rock, ten, over, caution or none ('').
 */
export function callsBetween(before, after) {
  if (!before || after.now - before.now > ASLEEP_MS) return pickedUp(after);
  const from = Math.max(before.now, after.now - STALE_MS), isDue = at => at >= from && at < after.now;
  const calls = [];
  const call = (at, text, sound = '') => { if (isDue(at)) calls.push({ at, text, sound }); };
  for (const run of after.runs) of(run, after, call);
  const is = lights(after);
  if (lights(before).isWhite !== false && is.isWhite === false) calls.push({ at: after.now, text: `Red light only. ${is.text}`, sound: 'caution' });
  if (is.isWhite && !after.runs.some(run => run.step?.id === 'lights')) call(whiteSince(after), is.head);
  return calls.sort((a, b) => a.at - b.at);
}

// The moment the last sheet that needed the dark came through, or was stopped.
function whiteSince(line) {
  const through = line.runs.filter(run => run.outcome === 'in_work' && run.steps[run.index - 1]?.light === 'red').map(run => run.enteredAt);
  const stopped = line.runs.filter(run => run.stoppedIn?.light === 'red').map(run => run.endedAt);
  return Math.max(...through, ...stopped);
}

function of(run, line, call) {
  const ahead = line.plan.ahead_s * 1000, { mark, step, next } = run;
  if (run.phase === 'armed') { call(run.beginAt - ahead, `${mark} goes in in ten.`); return; }
  if (run.outcome === 'stopped') { call(run.endedAt, `${mark} is stopped.`); return; }
  if (run.outcome === 'through') { call(run.endedAt, `${mark} is through. Dry it face up.`, 'rock'); return; }
  call(run.enteredAt, goes(mark, step), 'rock');
  if (lookAsked(run)) call(run.enteredAt + LOOK_AFTER_MS, `Look at ${mark}, if you like.`);
  if (run.phase === 'eye' || run.phase === 'past') byEye(run, call);
  if (run.doneAt !== null) call(run.doneAt, `${mark}: done. ${capital(againSaid(run))}`);
  if (run.heldFor) call(run.natural - run.liftMs - ahead, run.heldFor.reason === 'lights' ? `Lights: not yet. ${mark} stays in the water.` : heldSentence(run));
  if (run.end === Infinity) return;
  const liftAt = run.end - run.liftMs;
  if (next?.caution) call(Math.max(run.enteredAt + 1, liftAt - ahead - CAUTION_AHEAD_MS), `Next for ${mark}: ${stepName(next)}. ${next.caution.text}`, 'caution');
  call(liftAt - ahead, run.liftMs ? `${mark}: lift in ten.` : `${mark}: ten seconds.`);
  for (let n = 9; n > 0; n -= 1) call(liftAt - n * 1000, '', 'ten');
  if (run.liftMs) call(liftAt, `Lift ${mark}, drain.`, 'ten');
}

function byEye(run, call) {
  const { mark, step } = run;
  call(run.enteredAt + step.least_s * 1000, `${mark}: press when ${whenSaid(step)}.`);
  if (run.phase !== 'past') return;
  const longest = run.enteredAt + step.longest_s * 1000;
  for (let n = 0; n < 360; n += 1) call(longest + n * REPEAT_MS, `${mark} is past its longest time. Lift.`, 'over');
}

const whenSaid = step => step.eye_text.replace(/^(till|until)\s+/i, '').split(/, then/)[0];

// After a reload or a sleep: where every sheet is now, in one breath.
function pickedUp(line) {
  const work = line.runs.filter(run => run.outcome === 'in_work');
  if (!work.length) return [];
  const where = work.map(run => {
    const left = run.leftMs === Infinity ? (run.phase === 'held' ? 'waiting' : run.phase === 'past' ? 'past its longest time' : 'by eye') : `${lasting(run.leftMs / 1000)} left`;
    return `${run.mark}, ${stepName(run.step)}, ${left}`;
  });
  return [{ at: line.now, text: `Picked up. ${where.join('; ')}.`, sound: hands(line).word === 'Lift' ? 'over' : '' }];
}
