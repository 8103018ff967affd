/**
 * What a person gets wrong in a bring-up: each gets words that say so, the prop settles or never wakes, the rig's text stays as it was, and
 * no pulse is left. Answers on the simulated controller, which is told the same; the key and the cable on the emulated pico.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import type { Question } from '../../../host/bringup/person.ts';
import type { Bench } from '../../../host/bringup/session/bench.ts';
import { parseVerb } from '../../../host/bringup/verbs.ts';
import { toDeg } from '../../../host/rig/rig.ts';
import { firmwareOf, has } from '../../boards/firmware.ts';
import { benchOf, simBenchOf, told } from './on-bench.ts';
import { PERCH, WALKED, builtProp, perchRig } from './perch.ts';
import { pulsing, spanned_us } from './seen-pulses.ts';
import type { TrueProp } from './true-prop.ts';
import { Cable } from './watched.ts';

/** Half a second of pulses: it moves by then. */
const UNDER_WAY = 25;
/** A servo is limp so long after its last pulse. */
const PULSES_END_US = 100_000;
const CENTRE = 'centre leg1 --rods-off';

/** Answers to questions of one kind, the last of them for ever. */
const typed =
  (id: string, ...answers: readonly string[]) =>
  (prop: TrueProp): void => {
    let n = 0;
    prop.instead = (question: Question) =>
      question.id === id ? answers[Math.min(n++, answers.length - 1)] : undefined;
  };
/** The one key, at a question of this kind. */
const keyAt =
  (asked: string) =>
  (prop: TrueProp): void => {
    prop.instead = ({ id }) => {
      prop.settleNow = id === asked;
      return undefined;
    };
  };
const underWay =
  (then: (prop: TrueProp) => void) =>
  (prop: TrueProp): void => {
    let is = false;
    prop.looked = () => {
      if (!is && prop.pulses.length >= 3 * UNDER_WAY) {
        is = true;
        then(prop);
      }
    };
  };

/** No pulse is left, the rig's text is what it was, and the prop rests. */
async function expectSettled(bench: Bench, prop: TrueProp): Promise<void> {
  await prop.wait(PULSES_END_US);
  expect([bench.text, bench.state, pulsing(prop)]).toEqual([WALKED, 'limp', 0]);
  await bench.close();
}

describe('a wrong answer at the prop', () => {
  it.each<[string, string, (prop: TrueProp) => void, RegExp]>([
    ['a word for a number', CENTRE, typed('centre.reading', 'left'), /"left" is no number.*third/],
    ['nothing', CENTRE, typed('centre.reading', ''), /Nothing was typed.*third/],
    ['no number by name', CENTRE, typed('centre.reading', 'NaN'), /"NaN" is no number/],
    ['endlessly many', CENTRE, typed('centre.reading', 'Infinity'), /"Infinity" is no number/],
    ['more than a turn', CENTRE, typed('centre.reading', '400'), /400 cannot be/],
    ['two numbers', CENTRE, typed('centre.reading', '3 4'), /"3 4" is no number/],
    ['words behind a number', CENTRE, typed('centre.reading', '3 or so'), /"3 or so" is no number/],
    ['three different slips', CENTRE, typed('centre.reading', '', 'x', '1e9'), /"1e9" is no number.*third/],
    ['the same for ever', CENTRE, typed('centre.reading', '5'), /do not follow its pulse/],
    ['there and back', CENTRE, typed('centre.reading', '6', '6', '-6', '-6', '6', '6', '6'), /do not follow its pulse/],
    [
      'one angle for two',
      'scale leg1',
      typed('scale.reading', '20'),
      /was asked to move by .* and its reading by 0 deg/,
    ],
    ['a word for an angle', 'scale leg1', typed('scale.reading', 'steep'), /"steep" is no number/],
    [
      'two that say it hardly moved',
      'scale leg1',
      typed('scale.reading', '0', '0', '1', '1'),
      /and its reading by 1 deg/,
    ],
  ])('%s (%s)', async (_, verb, wrong, words) => {
    const prop = builtProp();
    const bench = await simBenchOf(prop, WALKED);
    wrong(prop);
    const outcome = await told(bench, prop, verb);
    expect(outcome.ended).toMatch(words);
    expect(outcome.written).toBeNull();
    await expectSettled(bench, prop);
  });

  it.each<[string, readonly [number, number], RegExp]>([
    ['between rest and centre', [-60, -10], /binds between its rest and its centre/],
    ['right at its centre', [-50, 0.2], /right at its centre/],
  ])('a joint that binds %s: words', async (_, binds_deg, words) => {
    const prop = builtProp({ binds_deg, sense: 1, horn_deg: 0, neutral_us: 1500, stood_deg: -20 });
    const bench = await simBenchOf(prop, WALKED);
    expect((await told(bench, prop, 'walk leg1')).ended).toMatch(words);
    await expectSettled(bench, prop);
  });

  it('a joint that never binds: its limits stand, it says so, and nothing went beyond them', async () => {
    const prop = builtProp({ binds_deg: [-90, 90] });
    const bench = await simBenchOf(prop, WALKED);
    expect((await told(bench, prop, 'walk leg1')).ended).toBeNull();
    expect(prop.said.join()).toMatch(/Plus: it did not bind, and its limit stands at 30 deg.*Minus: it did not bind/);
    const { lo, hi } = bench.joint('leg1');
    expect([toDeg(lo), toDeg(hi)].map(Math.round)).toEqual([-30, 30]);
    const [least, most] = spanned_us(prop, prop.joints[0]!)!;
    expect([least, most]).toEqual([1500 - 300, 1500 + 300]);
    await bench.close();
  });

  it('a scale before the walk: words, and no pulse at all', async () => {
    const prop = builtProp();
    const bench = await simBenchOf(prop, PERCH);
    expect((await told(bench, prop, 'scale leg1')).ended).toMatch(/has not been walked: "walk leg1" first/);
    expect(prop.pulses).toEqual([]);
    await bench.close();
  });

  it('a slip is told, and asked for again', async () => {
    const prop = builtProp();
    const bench = await simBenchOf(prop, PERCH);
    let n = 0;
    prop.instead = ({ id }) => (id === 'centre.reading' && n++ % 3 === 0 ? 'about 3' : undefined);
    expect((await told(bench, prop, 'centre leg1 --rods-off')).ended).toBeNull();
    expect(prop.said.filter((words) => words.startsWith('"about 3" is no number')).length).toBeGreaterThan(2);
    await bench.close();
  });
});

describe.skipIf(!has('arm-none-eabi-gcc'))('the one key and the cable, on the emulated pico', () => {
  beforeAll(() => {
    firmwareOf('pico');
  });

  it.each<[string, string, (prop: TrueProp) => void]>([
    ['in mid-walk', 'walk leg1', underWay((prop) => (prop.settleNow = true))],
    ['at a question', CENTRE, keyAt('centre.reading')],
    ['before it wakes', 'walk leg1', keyAt('rouse.ready')],
  ])('the key %s settles', async (_, verb, pressed) => {
    const prop = builtProp();
    const bench = await benchOf(prop, WALKED);
    pressed(prop);
    const outcome = await told(bench, prop, verb);
    expect([outcome.ended, outcome.written]).toEqual(['settled by you', null]);
    await expectSettled(bench, prop);
  });

  it('a cable pulled in mid-walk: words, and the prop settles by itself', async () => {
    const [prop, cable] = [builtProp(), new Cable()];
    const bench = await benchOf(prop, PERCH, cable);
    underWay(() => (cable.isPulled = true))(prop);
    await expect(told(bench, prop, 'walk leg1')).rejects.toThrow(/no longer answers: is the cable in/);
    expect(pulsing(prop)).toBe(1);
    const gone_us = prop.now_us;
    await prop.wait(20e6);
    expect(pulsing(prop)).toBe(0);
    const last_us = prop.pulses.at(-1)!.at_us;
    expect(last_us).toBeGreaterThan(gone_us);
    expect(bench.text).toBe(PERCH);
    await bench.abandon();
  });
});

describe('wrong words for a verb', () => {
  const rig = perchRig();
  it.each<[string, RegExp]>([
    ['', /is not a verb; there is/],
    ['waltz leg1', /"waltz" is not a verb; there is .*walk/],
    ['__proto__', /is not a verb/],
    ['walk', /walk needs a joint; it takes: walk JOINT/],
    ['walk leg9', /no joint "leg9", it has leg1/],
    ['walk leg1 leg2', /does not take "leg2"/],
    ['centre leg1', /--rods-off/],
    ['pulse leg1 1500', /--rods-off/],
    ['pulse leg1 --rods-off', /^say a pulse in µs; it takes: pulse JOINT US/],
    ['pulse leg1 1e9 --rods-off', /is no number/],
    ['jog leg1 far', /"far" is no number/],
    ['jog leg1 9000', /9000 cannot be|9,000 cannot be/],
    ['jog leg1 5 --fast', /"--fast" is not known/],
    ['swap leg1 --rods-off --minutes=-1', /minutes: -1 cannot be/],
  ])('"%s"', (text, words) => {
    const read = parseVerb(text, rig);
    expect('problem' in read ? read.problem : '').toMatch(words);
  });
});
