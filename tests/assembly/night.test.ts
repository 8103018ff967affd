/** A night's machine: what starts a show, what ends it, what must be cleared. */
import { describe, expect, it } from 'vitest';
import { off } from './guarded.ts';
import { KIND, LINE, NightProp } from './night-bench.ts';

describe('a show from rest', () => {
  it('warns first, rouses, crosses over, plays, settles, and says so', () => {
    const prop = new NightProp([{ frames: 200 }]);
    expect(prop.night).toBe('ready');
    expect(prop.show(0)).toBe(0);
    let warned = 0;
    const seen: string[] = [];
    for (let n = 0; n < 60 * prop.hz && !(n > 10 && prop.night === 'ready'); n++) {
      if (seen.at(-1) !== prop.night) seen.push(prop.night);
      if (prop.on(LINE.warn)) {
        warned += 1;
        expect(off(prop)).toBe(true);
      }
      prop.run(1);
    }
    expect(seen).toEqual(['warning', 'rousing', 'crossing', 'playing', 'ending']);
    expect(warned / prop.hz).toBeGreaterThanOrEqual(5);
    expect(warned / prop.hz).toBeLessThan(5.02);
    expect(prop.state).toBe('limp');
    expect(prop.notes).toEqual([
      [KIND.started, 0],
      [KIND.stopped, 4],
    ]);
  });
});
