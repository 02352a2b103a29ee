// The line's own time: the machine's clock, corrected when somebody sets it back during a step.
// While the page runs, the browser's count of passing time tells; over a reload, the last moment seen.
const JUMP_MS = 1500;

export class LineClock {
  /** @param {{offset?: number, seen?: number}} kept What was kept of an earlier page, if a line is in work. */
  constructor(kept = {}, wall = () => Date.now(), passing = () => performance.now()) {
    this.wall = wall;
    this.passing = passing;
    this.offset = kept.offset ?? 0;
    this.seen = kept.seen ?? 0;
    this.setBackMs = 0;
    this.lastWall = wall();
    this.lastPassing = passing();
    const behind = this.seen - (this.lastWall + this.offset);
    if (behind > JUMP_MS) this.correct(behind);
  }

  /** The moment now [ms], never before one that was told already. */
  now() {
    const wall = this.wall(), passing = this.passing();
    const behind = this.lastWall + (passing - this.lastPassing) - wall;
    if (behind > JUMP_MS) this.correct(behind);
    this.lastWall = wall;
    this.lastPassing = passing;
    this.seen = Math.max(this.seen, wall + this.offset);
    return this.seen;
  }

  correct(byMs) {
    this.offset += byMs;
    this.setBackMs += byMs;
  }

  /** Nothing is in work: the machine's clock counts again as it stands. */
  forget() {
    this.offset = 0;
    this.seen = 0;
    this.setBackMs = 0;
  }

  kept() { return { offset: this.offset, seen: this.seen }; }
}
