/** How many bytes a tick takes: what a full line of 500,000 baud (20 us a byte) brings in one, and a little to catch up. */
import { describe, expect, it } from 'vitest';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

const RING_BYTES = 512;
const BYTE_US = 20;

/** Bytes that wait in the receive ring. */
const waiting = (prop: Prop): number => RING_BYTES - prop.controller.room();

describe('bytes taken in a tick', () => {
  it.each([100, 200, 500, 1000])('at %i Hz they are what the line brings, and one in 32 more at most', (hz) => {
    const prop = new Prop(rigOf({ hz }));
    const line = 1e6 / hz / BYTE_US;
    prop.tell(new Uint8Array(RING_BYTES).fill(0));
    prop.run(1);
    const taken = RING_BYTES - waiting(prop);
    expect(taken).toBeGreaterThan(Math.min(line, RING_BYTES - 1));
    expect(taken).toBeLessThanOrEqual(Math.min(RING_BYTES, line + line / 32 + 1));
  });

  it('what a late tick has left is caught up with while the line stays full', () => {
    const prop = new Prop(rigOf({ hz: 200 }));
    prop.tell(new Uint8Array(250).fill(0));
    for (let n = 0; n < 40; n++) {
      prop.tell(new Uint8Array(250).fill(0));
      prop.run(1);
    }
    expect(waiting(prop)).toBe(0);
  });
});
