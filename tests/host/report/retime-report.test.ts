import { beforeAll, describe, expect, it } from 'vitest';
import { renderRetimeReport } from '../../../host/report/retime-report.ts';
import type { Retimed } from '../../../host/retime/retime.ts';
import { faultsOf, textOf } from './whole.ts';
import { csv, retimed, tailRig } from '../retime/rigs.ts';

/** 50 deg in a quarter of a second, from 1 s on. */
const rush = (t_s: number): number => {
  const u = Math.max(0, Math.min(1, 4 * (t_s - 1)));
  return 50 * u * u * (3 - 2 * u);
};

let slowed: Retimed;
let kept: Retimed;
beforeAll(async () => {
  const rig = tailRig(150, 1500, 1500);
  slowed = await retimed(rig, csv(4, 100, { tail_deg: rush }), { name: 'shows/<rush>.csv', together: true });
  kept = await retimed(rig, csv(4, 100, { tail_deg: rush }), { kept_s: [3], together: true });
});

describe('the page of retime', () => {
  it('stands alone, and has no figure that is none', () => {
    for (const one of [slowed, kept]) {
      const page = renderRetimeReport(one);
      expect(faultsOf(page)).toEqual([]);
      expect(page.match(/<svg/g)?.length).toBeGreaterThan(2);
    }
    expect(renderRetimeReport(slowed)).toContain('&lt;rush&gt;.csv for tail');
  });

  it('tells what was slowed, and how the joints fare', () => {
    const page = renderRetimeReport(slowed);
    expect(page).toMatch(/takes .* times as long: tail is asked for too much/);
    expect(page).toMatch(/scope="row">tail<\/th>[^]*→<\/span> 1\d\d of 150/);
    expect(page).not.toContain('plays faster');
    expect(renderRetimeReport(kept)).toMatch(/3.s: on time/);
  });

  it('has no figure in its table without a unit, and says what plus and minus are', () => {
    const page = renderRetimeReport(slowed);
    const cells = [...page.matchAll(/<span class="value">([^]*?)<\/span><\/td>/g)].map(([, cell]) => textOf(cell!));
    expect(cells).toHaveLength(4);
    for (const cell of cells) expect(cell).toMatch(/^ ?[\d ]+ → \d+ of \d+ (?:deg\/s²?|%)$|unknown/);
    expect(textOf(page)).toContain('Plus and minus: acceleration upward (toward larger values of the joint)');
  });

  it('stretches the strip where the stream was stretched, at one scale', () => {
    const page = renderRetimeReport(slowed);
    const wide = page.slice(page.indexOf('class="wide"'), page.indexOf('class="narrow"'));
    const bars = [
      ...wide.matchAll(/<g class="slower"[^]*?d="M([\d.]+) 140H([\d.]+)V152H[\d.]+ZM([\d.]+) 214H([\d.]+)V/g),
    ];
    expect(bars.length).toBeGreaterThan(0);
    const [first, last] = [bars[0]!, bars.at(-1)!].map((bar) => bar.slice(1).map(Number));
    // The plot is 804 px wide, from 46 on, for all of the new stream's seconds.
    const px = 804 / slowed.answer.seconds_after;
    const [place] = slowed.answer.slowed;
    expect((first![0]! - 46) / px).toBeCloseTo(place!.from_s, 1);
    expect((last![1]! - 46) / px).toBeCloseTo(place!.to_s, 1);
    expect((last![3]! - first![2]!) / px).toBeCloseTo((place!.to_s - place!.from_s) * place!.by, 1);
  });

  it('draws what went over its limit before, and nothing over it after', () => {
    const page = renderRetimeReport(slowed);
    const hatched = [...page.matchAll(/fill="url\(#short-860\)" d="([^"]*)"/g)].map(([, d]) => d!);
    expect(hatched).toHaveLength(2);
    const heights = (d: string): number[] => [...d.matchAll(/[ML][\d.]+,([\d.]+)/g)].map(([, y]) => Number(y));
    // Upper edge of the chart, the limit's line 92·(1 - 1/2.5) px below it.
    expect(Math.min(...heights(hatched[0]!))).toBeLessThan(26 + 20);
    for (const y of heights(hatched[1]!)) expect(y).toBeGreaterThanOrEqual(264 + 55.1);
  });
});
