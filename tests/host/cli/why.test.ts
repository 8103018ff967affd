/** The command `why`: what it prints for every symptom, its document, its exit codes, and what it refuses. */
import { existsSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { whyWords } from '../../../host/cli/why/words.ts';
import { SYMPTOMS } from '../../../host/why/result.ts';
import { type Looked, tell } from '../../../host/why/why.ts';
import { TILT } from '../load/rigs.ts';
import { KINDS, OWL, QUICK_NOD, edit, lookedInto } from '../why/rigs.ts';
import { faultsOf } from '../report/whole.ts';
import { needController, run, scratch, stream } from './fixture.ts';

needController();
const folder = scratch();
afterAll(folder.remove);
const owl = folder.put('owl.yaml', OWL);
const quick = folder.put('quick.csv', QUICK_NOD);
const tilt = folder.put('tilt.yaml', TILT);
const calm = folder.put('calm.csv', stream(1, { nod_deg: (t) => 3 - 3 * Math.cos(Math.PI * t) }));
const hole = folder.put('hole.csv', 't_s,nod_deg\n0,0\n0.02,0\n0.04,0\n8.04,0\n8.06,0\n');

const word = z.enum(['yes', 'mostly', 'no', 'unknown']);
const turning = z.strictObject({
  saturated_ms: z.number(),
  falls_at_s: z.number().nullable(),
  peak_error_deg: z.number(),
  wobble_deg: z.number(),
});
const document = z.strictObject({
  answers: z.array(z.strictObject({ question: z.string(), verdict: word, because: z.string() })).length(4),
  symptom: z.enum(SYMPTOMS).nullable(),
  causes: z.array(
    z.strictObject({
      cause: z.string(),
      title: z.string(),
      likely: z.enum(['likely', 'possible', 'unlikely']),
      because: z.string(),
      test: z.string(),
      cure: z.string(),
      cost: z.string(),
      before: turning.nullable(),
      after: turning.nullable(),
      assumed: z.string().nullable(),
    }),
  ),
  rests_on: z.array(z.string()).min(2),
  measure_first: z.string().nullable(),
});

async function json(code: number, ...argv: string[]): Promise<z.infer<typeof document>> {
  const ran = await run(['why', ...argv, '--json']);
  expect(ran.code, ran.err).toBe(code);
  return document.parse(JSON.parse(ran.out));
}

/** Numbers without a unit behind them, but for those that count or name something. */
function bareNumbers(words: string): string[] {
  const unit = '(?:deg(?:/s²?)?|mm(?:/s²?)?|N·m|N|%|A|ms|µs|s|Hz|kg|g)(?![\\w])';
  const rest = words
    .replace(/\s+/g, ' ')
    .replace(/\b[a-z]+\d\b|\S+\.(?:yaml|csv|html)\b/g, 'name')
    .replace(new RegExp(`-?\\d+(?:\\.\\d+)?(?: (?:to|of) -?\\d+(?:\\.\\d+)?)? ${unit}`, 'g'), 'figure')
    .replace(/\b\d+\. (?=likely|possible|unlikely)/g, '')
    .replace(/\d+ (?:more|frames a second|ticks or frames)|\d+(?:\.\d+)? of critical/g, 'count');
  return rest.match(/\d+(?:\.\d+)?.{0,12}/g) ?? [];
}

describe('why in words: the demo, as its nod runs out of torque', () => {
  let looked: Looked;
  beforeAll(async () => {
    looked = await lookedInto(OWL, QUICK_NOD);
  }, 60_000);

  it.each(SYMPTOMS)(
    '%s: every cause with its test, fix and cost; every number with its unit',
    async (symptom) => {
      const { why } = await tell(looked, symptom);
      const io = {
        stdout: { write: () => undefined },
        stderr: { write: () => undefined },
        stdin: (async function* () {})(),
        env: { NO_COLOR: '1' },
        now: () => 0,
        onInterrupt: () => undefined,
      };
      const words = whyWords('night-owl', why, { stream: 'quick.csv', report: null }, io, true);
      const count = (pattern: RegExp): number => words.match(pattern)?.length ?? 0;
      const causes = count(/^\d+\. (?:likely|possible|unlikely) /gm);
      expect(causes).toBe(why.causes.length);
      expect(causes).toBeGreaterThan(0);
      for (const row of ['test', 'fix', 'cost']) expect(count(new RegExp(`^   ${row}  +\\S`, 'gm')), row).toBe(causes);
      expect(words).toMatch(/^Why (?:it|a servo) \w+/m);
      expect(words).not.toMatch(/NaN|undefined|null|Infinity/);
      expect(bareNumbers(words)).toEqual([]);
      for (const line of words.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
    },
    60_000,
  );
});

describe('why', () => {
  it('says about carrying and power what load says, word for word', async () => {
    const [asked, loaded] = [await run(['why', owl, quick]), await run(['load', owl, '--stream', quick])];
    const rowOf = (out: string, question: string): string => {
      const from = out.indexOf(question) + question.length;
      const row = out.slice(from, from + out.slice(from).search(/\n(?:\S|\n)/));
      return row.replace(/\s+/g, ' ').trim().toLowerCase().replace(/\.$/, '');
    };
    for (const question of ['Can it carry it?', 'Can you power it?']) {
      expect(rowOf(asked.out, question).length).toBeGreaterThan(20);
      expect(rowOf(asked.out, question)).toBe(rowOf(loaded.out, question));
    }
    expect([asked.code, loaded.code]).toEqual([1, 1]);
    // Short: the first cause, and what else there is.
    expect(asked.out.match(/^\d\. /gm)).toEqual(['1. ']);
    expect(asked.out).toMatch(
      /^also +likely: the stream asks for more.*; 4 less\s+likely\s+\(--symptom\s+jerk\s+lists\s+them\s+all\)$/ms,
    );
    expect(asked.out).toMatch(
      /^ {3}tried +before: out of\s+torque\s+for[^;]*;\s+after:\s+out\s+of\s+torque\s+for\s+0 ms,[^;]*;\s+in\s+simulation$/m,
    );
    expect(asked.out).toContain('measure first');
  }, 60_000);

  it('gives one document, and exits 1 for a no', async () => {
    const told = await json(1, owl, quick, '--symptom', 'jerk');
    expect(told.symptom).toBe('jerk');
    expect(told.causes[0]).toMatchObject({ cause: 'torque_saturated', after: { saturated_ms: 0 } });
    expect(told.causes.map(({ cause }) => cause)).toContain('beyond_limits');
  }, 60_000);

  it('exits 0 where no answer is a no, and has no cause to name', async () => {
    const told = await json(0, tilt, calm);
    expect(told.answers.map(({ verdict }) => verdict)).toEqual(['yes', 'yes', 'yes', 'yes']);
    expect(told).toMatchObject({ symptom: null, causes: [] });
    const { out } = await run(['why', tilt, calm]);
    expect(out).not.toMatch(/^Why /m);
  });

  it('exits 0 for what is not known', async () => {
    const { answers } = await json(0, folder.put('bare.yaml', KINDS['no parts']!));
    expect(answers.map(({ verdict }) => verdict)).toEqual(['unknown', 'unknown', 'yes', 'unknown']);
  });

  it('gives mm for actuators', async () => {
    const lift = folder.put('lift.yaml', edit(KINDS['a linear drive']!, ['accel_mm_s2: 100', 'accel_mm_s2: 90000']));
    const bounce = folder.put('bounce.csv', stream(1, { z_mm: (t) => 4 * Math.sin(6 * t) }));
    const ran = await run(['why', lift, bounce, '--symptom', 'jerk', '--json']);
    const { causes } = z.object({ causes: z.array(z.looseObject({ before: z.unknown() })) }).parse(JSON.parse(ran.out));
    const tried = causes.filter(({ before }) => before !== null);
    expect(tried.length).toBeGreaterThan(0);
    for (const { before } of tried)
      expect(Object.keys(before as object)).toEqual(['saturated_ms', 'falls_at_s', 'peak_error_mm', 'wobble_mm']);
  });

  it('takes a stream from standard input, and plays it as often as need be', async () => {
    const stdin = stream(1, { nod_deg: (t) => (t < 0.5 ? 0 : 15) });
    const ran = await run(['why', tilt, '-', '--symptom', 'jerk', '--json'], { stdin });
    expect(ran.code).toBe(1);
    expect(ran.out).toContain('beyond_limits');
  });

  it('warns of a long time without a frame, and answers', async () => {
    const { code, err, out } = await run(['why', tilt, hole]);
    expect(code).toBe(0);
    expect(err).toMatch(/hole\.csv:5 +t_s +warning: nothing is asked between 0\.04 s and 8\.04 s/);
    expect(out).toContain('yes: Every pose asked for is within reach.');
  });

  it('writes its page, and says where', async () => {
    const page = folder.path('page.html');
    const { out } = await run(['why', owl, quick, '--report', page]);
    expect(out).toMatch(/page\.html shows the worst moment, before and after\s+the fix/);
    expect(existsSync(page)).toBe(true);
    expect(faultsOf(readFileSync(page, 'utf8'))).toEqual([]);
    const again = await run(['why', owl, quick, '--report', page]);
    expect(again.code).toBe(2);
  }, 60_000);
});

describe('why refuses with exit code 2, in words', () => {
  it.each([
    ['a symptom that nobody knows', [tilt, '--symptom', 'jrek'], '--symptom', 'nearest: jerk'],
    ['a page without a stream', [tilt, '--report', folder.path('none.html')], '--report', 'add a stream'],
    ['two things from standard input', ['-', '-'], '-', 'only one of'],
    ['a missing rig', [folder.path('none.yaml')], folder.path('none.yaml'), 'no such file'],
    ['a missing stream', [tilt, folder.path('none.csv')], folder.path('none.csv'), 'no such file'],
    ['an empty stream', [tilt, folder.put('empty.csv', '')], folder.path('empty.csv'), 'the stream is empty'],
    ['a header alone', [tilt, folder.put('head.csv', 't_s,nod_deg\n')], folder.path('head.csv'), 'no row below'],
    ['a stream of another rig', [tilt, folder.put('far.csv', 't_s,ned_deg\n0,0\n')], folder.path('far.csv'), 'nod_deg'],
  ])('%s', async (_, argv, file, words) => {
    const ran = await run(['why', ...argv, '--json']);
    expect(ran.code).toBe(2);
    const { problems } = z
      .object({ problems: z.array(z.object({ file: z.string(), message: z.string() })) })
      .parse(JSON.parse(ran.out));
    expect(problems.map((problem) => problem.file)).toContain(file);
    expect(problems.map(({ message }) => message).join('\n')).toContain(words);
  });
});
