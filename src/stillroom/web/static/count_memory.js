// What a count keeps in this browser: its state and ticks until the sheet is done, wishes and the last pop for good.
const WISHES = 'count wishes', POP = 'count last pop', BEGUN = 'count begun';

const read = key => { try { return JSON.parse(localStorage.getItem(key) ?? 'null'); } catch { return null; } };
const write = (key, value) => { try { if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value)); } catch { /* nothing is kept here */ } };

export class Memory {
  constructor(plan) {
    this.plan = plan;
    this.key = `count ${plan.sitting}/${plan.sheet}`;
    this.held = read(this.key) ?? {};
  }

  state() { return this.held.state ?? null; }

  /** `dark` lets a page that is loaded anew be black before its first picture. */
  keep(state, line) {
    const dark = Boolean(state && line && !line.isOver && line.isDark);
    const now = JSON.stringify([state?.started, state?.presses, dark, line?.said.length, line?.isOver]);
    const seen = Math.floor((state?.clock?.seen ?? 0) / 500);
    if (this.last === now && this.seen === seen) return;
    this.last = now;
    this.seen = seen;
    this.held = { ...this.held, state, dark };
    write(this.key, this.held);
  }

  done() { write(this.key, null); this.held = {}; }

  ticked(name) { return (this.held.ticks ?? []).includes(name); }

  tick(name, isOn) {
    const ticks = (this.held.ticks ?? []).filter(one => one !== name);
    this.held = { ...this.held, ticks: isOn ? [...ticks, name] : ticks };
    write(this.key, this.held);
  }

  wishes() { return read(WISHES) ?? {}; }

  wish(wishes) { write(WISHES, wishes); }

  popped(at) {
    const known = read(POP);
    if (known?.at !== at) write(POP, { at, gap_s: this.plan.gap_s });
  }

  /** The moment of the last pop as this sheet's heads would have made it, and when they are charged. */
  charged() {
    const pop = read(POP);
    if (!pop || !this.plan.heads.length || pop.at > Date.now() + 1000) return undefined;
    return pop.at + Math.max(0, pop.gap_s - this.plan.gap_s) * 1000;
  }

  readyAt() {
    const at = this.charged();
    return at === undefined ? 0 : at + this.plan.gap_s * 1000;
  }

  /** Whether this sheet's count is begun by its page for the first time. */
  first() {
    if (read(BEGUN) === this.key) return false;
    write(BEGUN, this.key);
    return true;
  }
}
