/** A recording that shakes: smoothed before it is fitted and slowed, and made smaller rather than slower. */
import { describe, expect, it } from 'vitest';
import { canItFollow, noiseWords, smoothedWords, tempoWords } from '../../../host/retime/words.ts';
import { withinTempo } from '../../../host/retime/tempo.ts';
import { csv, demo, retimed } from './rigs.ts';

/** A recorded human head (credit in the file), wilder than the rig can follow. */
const HEAD = 'tests/data/head.csv';

describe('a recorded head, smoothed', () => {
  it.each([6, 7, 10])('at %d Hz fits wherever a tick looks, and stays within every limit', async (smooth_hz) => {
    const { answer } = await retimed(demo(), HEAD, { fit: true, smooth_hz });
    expect(answer).toMatchObject({ ok: true, too_much_ticks: 0, smoothed: { cutoff_hz: smooth_hz }, shaking: [] });
    expect(answer.smoothed!.residuals.map(({ name }) => name)).toEqual(['x', 'y', 'z', 'roll', 'pitch', 'yaw']);
    // Unsmoothed it takes three times as long.
    expect(answer.seconds_after).toBeLessThan(1.8 * answer.seconds_before);
  });

  it('is named as shaking, with the cure, as long as it is not smoothed', async () => {
    const { answer } = await retimed(demo(), HEAD, { fit: true });
    expect(answer.shaking).toEqual(expect.arrayContaining(['pitch', 'yaw']));
    expect(noiseWords(answer).join()).toMatch(/pitch and yaw shake from frame to frame.*--smooth/);
    expect(noiseWords({ ...answer, smoothed: { cutoff_hz: 6, residuals: [] } })).toEqual([]);
  });

  it('keeps a tempo by smaller gestures, which use most of what may be lost', async () => {
    const { answer } = await retimed(demo(), HEAD, { fit: true, smooth_hz: 3, tempo: 1.15 });
    expect(answer.ok).toBe(true);
    const took = answer.seconds_after / answer.seconds_before;
    expect(took).toBeLessThanOrEqual(1.15);
    expect(took).toBeGreaterThan(1.13);
    expect(answer.tempo!.asked).toBe(1.15);
    expect(answer.tempo!.share).toBeGreaterThan(0.3);
    expect(answer.tempo!.share).toBeLessThan(0.9);
    expect(tempoWords(answer).join()).toMatch(
      /1\.1\d times as long, 1\.15 allowed: gestures are at \d\d % of the size that fits/,
    );
  });
});

describe('a tempo', () => {
  it('makes smaller only what moves: nothing that the stream leaves alone, or holds still, has a size', async () => {
    const { answer } = await retimed(demo(), HEAD, { fit: true, smooth_hz: 3, tempo: 1.2 });
    expect(answer.fitted.map(({ name }) => name)).not.toContain('nod');
    expect(answer.fitted.every(({ scale, centre }) => Number.isFinite(scale) && Number.isFinite(centre))).toBe(true);
  });

  it('of a single frame is kept: it takes no time', async () => {
    const { answer } = await retimed(demo(), csv(0, 50, { yaw_deg: () => 2 }), { fit: true, tempo: 1.1 });
    expect([answer.ok, answer.tempo]).toEqual([true, { asked: 1.1, share: 1 }]);
    expect(tempoWords(answer).join()).not.toContain('NaN');
  });

  it('that is not kept is no yes', async () => {
    const { answer } = await retimed(demo(), HEAD, { fit: true, smooth_hz: 3, tempo: 1.15 });
    const late = { ...answer, ok: false, seconds_after: 2 * answer.seconds_before };
    expect(canItFollow(late)).toMatchObject({
      word: 'no',
      because: expect.stringMatching(/takes 2\.00 times as long, where 1\.15/),
    });
  });
});

describe('smoothing', () => {
  it('leaves what is slow alone, and says that it took nothing to speak of', async () => {
    const slow = csv(6, 100, { yaw_deg: (t_s) => 5 * Math.sin(t_s) });
    const { answer } = await retimed(demo(), slow, { smooth_hz: 6 });
    expect(answer.smoothed!.residuals.every(({ rms }) => rms < 0.01)).toBe(true);
    expect(smoothedWords(answer)).toEqual([expect.stringMatching(/^low-pass, 6 Hz; removed yaw 0\.00\d deg/)]);
  });
});

describe('the search for a size', () => {
  /** Retimings that lose so much at a share; how many were needed. */
  const search = (tempo: number, lost: (share: number) => number | null): { share: number; tries: number } => {
    let tries = 0;
    const at = (share: number): number => {
      tries += 1;
      return share;
    };
    return { share: withinTempo(tempo, at, lost).share, tries };
  };

  it.each([1, 1.75, 3])('finds it within four retimings where what is lost grows with the power %d', (power) => {
    const { share, tries } = search(1.2, (s) => s ** power);
    expect(share ** power).toBeLessThanOrEqual(0.2);
    expect(share ** power).toBeGreaterThan(0.18);
    expect(tries).toBeLessThanOrEqual(4);
  });

  it('leaves alone what keeps its tempo, ends where nothing helps, and hands on what cannot be retimed', () => {
    expect(search(1.2, () => 0.1)).toEqual({ share: 1, tries: 1 });
    expect(search(1.2, () => 0.5).tries).toBeLessThanOrEqual(8);
    expect(search(1.2, () => null)).toEqual({ share: 1, tries: 1 });
  });

  it('comes back from a share at which nothing is lost any more', () => {
    const { share } = search(1.2, (s) => Math.max(0, s - 0.5));
    expect(share).toBeGreaterThan(0.6);
    expect(share).toBeLessThanOrEqual(0.7);
  });
});
