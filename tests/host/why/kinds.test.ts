/** `why` on rigs of every kind, for every symptom, without a stream and with odd ones: words, a cause with all its parts, no NaN. */
import { describe, expect, it } from 'vitest';
import { whyJson } from '../../../host/cli/why/json.ts';
import { whyWords } from '../../../host/cli/why/words.ts';
import { SYMPTOMS, type Why } from '../../../host/why/result.ts';
import { type Looked, tell } from '../../../host/why/why.ts';
import { KINDS, lookedInto } from './rigs.ts';

const OUT = {
  stdout: { write: () => undefined, columns: 100 },
  stderr: { write: () => undefined },
  stdin: (async function* () {})(),
  env: { NO_COLOR: '1' },
  now: () => 0,
  onInterrupt: () => undefined,
};

/** Every value in a document that is no null on purpose. */
function values(document: unknown): unknown[] {
  if (typeof document !== 'object' || document === null) return [document];
  return Object.values(document).flatMap(values);
}

/** Whatever is asked of it, it answers in words. */
async function allSaid(looked: Looked): Promise<Why[]> {
  const told: Why[] = [];
  for (const symptom of [null, ...SYMPTOMS]) {
    const { why } = await tell(looked, symptom);
    told.push(why);
    const words = whyWords(looked.facts.rig.name, why, { stream: null, report: null }, OUT, true);
    expect(words).not.toMatch(/NaN|Infinity|undefined|\bnull\b|\[object|-0(?![.\d])|\.\.|\( ?\)|left out: left out/);
    for (const value of values(whyJson(why))) {
      expect(value).not.toBeUndefined();
      if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
    }
    if (symptom !== null) expect(why.causes.length).toBeGreaterThan(0);
    for (const { title, because, test, cure, cost } of why.causes)
      for (const said of [title, because, test, cure, cost]) expect(said).toMatch(/^\S.{3,}[^.\s]$/);
    for (const { because } of why.answers) expect(because).toMatch(/^\S.*\.$/);
  }
  return told;
}

describe('every kind of rig, every symptom', () => {
  it.each(Object.keys(KINDS))(
    '%s',
    async (kind) => {
      await allSaid(await lookedInto(KINDS[kind]!));
    },
    120_000,
  );

  it('says no for a payload that no pose can hold, and asks why it does not get there', async () => {
    const { why } = await tell(await lookedInto(KINDS['a payload that no pose can hold']!), null);
    expect(why.answers[1]).toMatchObject({ verdict: 'no' });
    expect(why.answers[1]!.because).toMatch(/^nod cannot hold at home: that takes \d+\.\d+ N·m/);
    expect(why.symptom).toBe('short');
    expect(why.causes[0]).toMatchObject({ cause: 'torque_saturated', likely: 'likely' });
    expect(why.causes[0]!.cure).toContain('counterweight');
  });

  it('says no for a home where nothing holds the plate', async () => {
    const { answers } = await lookedInto(KINDS['singular at home']!);
    expect(answers.slice(1, 3)).toMatchObject([{ verdict: 'no' }, { verdict: 'unknown' }]);
    expect(answers[1]!.because).toContain('the plate hangs loose');
  });

  it('knows no weight, and says so rather than yes', async () => {
    for (const kind of ['masses missing', 'no parts']) {
      const { answers } = await lookedInto(KINDS[kind]!);
      expect(answers[1]).toMatchObject({ verdict: 'unknown' });
      expect(answers[1]!.because).toMatch(
        // What rides on its face is known, and is not all of it.
        /^What it weighs is unknown: .+counted as empty|; but .+ (is unknown: left out|counted as empty)/,
      );
    }
  });

  it('speaks of force where actuators push', async () => {
    const { why } = await tell(await lookedInto(KINDS['a linear drive']!), 'jerk');
    expect(JSON.stringify(why)).not.toMatch(/N·m|deg\/s/);
    expect(why.measure_first).toMatch(/^servos.ram.force_n:/);
    const own = why.causes.filter(({ cause }) => cause === 'torque_saturated' || cause === 'falling_load');
    expect(own).toHaveLength(2);
    expect(JSON.stringify([why.answers, own])).not.toMatch(/torque(?!_)/);
  });
});

const at = (times: readonly number[], column: string): string =>
  [`t_s,${column}`, ...times.map((t_s) => `${String(t_s)},1`)].join('\n');

describe('odd streams', () => {
  it.each<[string, readonly number[]]>([
    ['one frame', [0]],
    ['one frame, late', [50]],
    ['two frames in one tick', [0, 0.001]],
    ['two frames', [0, 1]],
    ['ten seconds without a frame', [0, 0.02, 0.04, 10.04, 10.06]],
  ])('%s', async (_, times) => {
    for (const [kind, column] of [
      ['joints only', 'nod_deg'],
      ['a linear drive', 'x_mm'],
    ] as const) {
      const looked = await lookedInto(KINDS[kind]!, at(times, column));
      const [why] = await allSaid(looked);
      expect(why!.answers[0]).toMatchObject({ verdict: 'yes' });
    }
  });

  it.each(['a payload that no pose can hold', 'singular at home', 'torque unknown', 'masses missing', 'upside down'])(
    'half a second on the simulated metal: %s',
    async (kind) => {
      const rows = Array.from({ length: 26 }, (_, k) => `${(k / 50).toFixed(2)},${(2 * Math.sin(k / 9)).toFixed(3)}`);
      const looked = await lookedInto(KINDS[kind]!, ['t_s,y_mm', ...rows].join('\n'));
      await allSaid(looked);
    },
    120_000,
  );
});
