/**
 * What is wrong with a stream, in words for the person who made it. All of it at once, but a file that is wrong in every
 * row is told in a hundred lines and a count.
 */
import { plainText, shortText } from '../rig/plain-text.ts';
import type { Problem } from '../rig/problem.ts';

const LISTED = 100;
/** Of the name of a column. */
const LONGEST_NAME = 60;

/** Collects problems, keeps the first hundred, and counts the rest. */
export class ProblemList {
  private fresh: Problem[] = [];
  private count = 0;
  private firstUnlisted = 0;
  private errorCount = 0;

  /** Errors so far, listed or not; warnings do not count. */
  get errors(): number {
    return this.errorCount;
  }

  add(path: string, line: number, message: string, severity: 'error' | 'warning' = 'error'): void {
    this.count += 1;
    if (severity === 'error') this.errorCount += 1;
    if (this.count <= LISTED)
      this.fresh.push({ path: shortText(path, LONGEST_NAME), line, message: plainText(message), severity });
    else if (this.count === LISTED + 1) this.firstUnlisted = line;
  }

  /** What was added since the last call, within the first hundred. */
  take(): Problem[] {
    const taken = this.fresh;
    this.fresh = [];
    return taken;
  }

  /** The last call: as `take`, with one line more that says how many are not listed. */
  takeLast(): Problem[] {
    const more = this.count - LISTED;
    const taken = this.take();
    if (more > 0) {
      const message = `and ${more} more, from line ${this.firstUnlisted} on; mend the first ${LISTED} and look again`;
      taken.push({ path: 'file', line: this.firstUnlisted, message, severity: 'error' });
    }
    return taken;
  }
}
