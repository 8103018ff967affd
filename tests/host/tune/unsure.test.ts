/** Where simulated metal cannot tell, tuning eases nothing for it, claims nothing, and says so. */
import { afterEach, expect, test, vi } from 'vitest';
import { PlantWatch } from '../../../host/replay/plant-watch.ts';
import { simTarget } from '../../../host/targets/sim.ts';
import { tune } from '../../../host/tune/tune.ts';
import { inAll } from '../../../host/tune/verdict.ts';
import { WASM } from '../../assembly/prop.ts';
import { SICK, axisRig } from './axes.ts';

afterEach(() => {
  vi.restoreAllMocks();
});

test('limits stay as the sums have them, and the answer is not told', async () => {
  const rig = axisRig(SICK['a small servo at 3:1']!);
  const run = () => tune(rig, simTarget({ wasm: WASM }), { faster: false, stream: null });
  const { answer: eased } = await run();
  const real = PlantWatch.prototype.answer;
  vi.spyOn(PlantWatch.prototype, 'answer').mockImplementation(function (this: PlantWatch) {
    return { ...real.call(this), unsure: { what: 'tilt', at_s: 0.01, look_at: [] } };
  });
  const { answer } = await run();
  expect(answer.ok).toBe(false);
  expect(answer.joints[0]).toMatchObject({ outcome: 'tuned', before: null, after: null });
  // On metal that tells it was eased further.
  expect(answer.joints[0]!.limits.plus).toBeGreaterThan(eased.joints[0]!.limits.plus);
  expect(answer.advice[0]).toMatch(/^The simulation cannot tell: its motion of tilt runs away/);
  expect(inAll(answer).word).toBe('unknown');
});
