/** `why` and `tune` propose the same limits for the same rig and stream, to the last digit. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { toShown } from '../../../host/rig/rig.ts';
import { tune } from '../../../host/tune/tune.ts';
import { tell } from '../../../host/why/why.ts';
import { SICK, axisText } from '../tune/axes.ts';
import { KINDS, OWL, QUICK_NOD, edit, lookedInto, rigOf, streamOf, target } from './rigs.ts';

/** Its neck as it was before somebody tuned it. */
const STORK = edit(readFileSync('tests/data/park-stork-tuned.yaml', 'utf8'), [
  /accel_deg_s2: \{ plus: 300.*?\}, accel_gone_at_deg_s: \{.*?\}/,
  'accel_deg_s2: 300',
]);

async function expectSame(text: string, streamText: string | null): Promise<void> {
  const rig = rigOf(text);
  const stream = streamText === null ? null : await streamOf(streamText, rig);
  const tuned = await tune(rig, target, {
    faster: false,
    stream: stream && { name: stream.name, source: stream.source },
  });
  const looked = await lookedInto(text, streamText);
  const { why } = await tell(looked, 'jerk');
  expect(tuned.answer.joints.some(({ outcome }) => outcome === 'tuned')).toBe(true);
  for (const { joint, limits } of looked.facts.joints) {
    const shared = tuned.answer.joints.find(({ name }) => name === (joint.kind === 'leg' ? 'legs' : joint.name))!;
    if ('none' in limits) continue;
    for (const key of ['speed', 'plus', 'minus', 'plus_gone', 'minus_gone'] as const)
      expect(toShown(joint, limits[key]), `${joint.name} ${key}`).toBeCloseTo(shared.limits[key], 9);
  }
  const changed = tuned.answer.joints.find(({ outcome, name }) => outcome === 'tuned' && name !== 'legs');
  const cure = why.causes.find(({ cause }) => cause === 'torque_saturated')!.cure;
  if (changed) expect(cure).toContain(`${changed.limits.minus.toFixed(0)} deg/s² downward`);
}

describe('the limits that why proposes are those of tune', () => {
  it.each([
    ['the demo with the stream that makes it jerk', OWL, QUICK_NOD],
    ['a stork whose neck is asked for more than it has', STORK, null],
    ['a sick axis', axisText(SICK['a small servo at 3:1']!), null],
    [
      'legs faster than without load',
      edit(KINDS['legs only']!, ['leg: { speed_deg_s: 220', 'leg: { speed_deg_s: 900']),
      null,
    ],
  ])('%s', (_, text, stream) => expectSame(text, stream), 240_000);
});
