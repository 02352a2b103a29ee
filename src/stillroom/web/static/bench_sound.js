// Low sine tones and an offline voice. Both are extras: every call stands on the page as text besides.
const LOW_HZ = 233, HIGH_HZ = 311;
const LOUD = 0.35;

let context = null;

/** Browsers let a page sound only after a touch or a key: called from those. */
export function unlockSound() {
  const Audio = globalThis.AudioContext ?? globalThis.webkitAudioContext;
  if (!Audio) return;
  context ??= new Audio();
  if (context.state === 'suspended') context.resume().catch(() => {});
}

export const soundState = () => {
  if (!(globalThis.AudioContext ?? globalThis.webkitAudioContext)) return 'none';
  return context?.state === 'running' ? 'on' : 'waits';
};

function tone(after, length, from, to = from) {
  const begin = context.currentTime + after, wave = context.createOscillator(), gain = context.createGain();
  wave.type = 'sine';
  wave.frequency.setValueAtTime(from, begin);
  wave.frequency.linearRampToValueAtTime(to, begin + length);
  gain.gain.setValueAtTime(0, begin);
  gain.gain.linearRampToValueAtTime(LOUD, begin + 0.02);
  gain.gain.setValueAtTime(LOUD, begin + length - 0.04);
  gain.gain.linearRampToValueAtTime(0, begin + length);
  wave.connect(gain).connect(context.destination);
  wave.start(begin);
  wave.stop(begin + length);
}

const TONES = {
  rock: () => [0, 0.25].forEach(at => tone(at, 0.16, LOW_HZ)),
  ten: () => tone(0, 0.12, HIGH_HZ),
  over: () => tone(0, 1.6, HIGH_HZ, LOW_HZ / 2),
  caution: () => [0, 0.7, 1.4].forEach(at => tone(at, 0.45, LOW_HZ)),
};

export function sound(kind) {
  if (context?.state === 'running' && TONES[kind]) TONES[kind]();
}

const speaking = () => globalThis.speechSynthesis;

/** A voice that lives on this machine, in the page's language where there is one. */
export function offlineVoice() {
  const own = (speaking()?.getVoices() ?? []).filter(voice => voice.localService);
  return own.find(voice => /^en-GB/i.test(voice.lang)) ?? own.find(voice => /^en/i.test(voice.lang)) ?? null;
}

export function say(text) {
  const voice = offlineVoice();
  if (!voice || !text) return;
  const said = new SpeechSynthesisUtterance(text);
  said.voice = voice;
  said.lang = voice.lang;
  speaking().speak(said);
}

/** Stop in the middle of a word: something more urgent is to be said. */
export const hush = () => speaking()?.cancel();
