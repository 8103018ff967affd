/**
 * What the cures do, by the axes and the structure that the tests hold (tests/host/tune, tests/assembly): three invented axes that
 * jerk, through the real controller on simulated servos and loads, before and after tuning; a structure that swings, with a wobble cure.
 */
import type { Target } from '../../replay/target.ts';
import { toRad } from '../../rig/rig.ts';
import { tune } from '../../tune/tune.ts';
import { swingsLeft } from '../../../tests/assembly/swing.ts';
import { quickest } from '../../../tests/host/physics/quickest.ts';
import { SICK, axisRig } from '../../../tests/host/tune/axes.ts';
import type { AimRow } from './table.ts';

/** A motor time constant of 10 ms stands for a rotor that is not given (ours, as in host/physics). */
const MOTOR_S = 0.01;
/** The structure's natural frequency, its damping ratio, and the tick at which the look about is over. */
const [HZ, DAMPING, OVER] = [2.4, 0.01, 300];
const WITHIN_14_PERCENT = [0.86, 0.93, 1, 1.07, 1.14];

const together = (words: readonly string[]): string => `${words.slice(0, -1).join(', ')} and ${words.at(-1) ?? ''}`;

async function jerks(sim: Target): Promise<AimRow[]> {
  const cured: { before_ms: number; after_ms: number; nearer: number; slower: number }[] = [];
  for (const axis of Object.values(SICK)) {
    const { answer } = await tune(axisRig(axis), sim, { faster: false, stream: null });
    const [joint] = answer.joints;
    if (!joint?.before || !joint.after) throw new Error('a sick axis was not tried');
    const most_s = quickest({ ...axis, efficiency: 1, rotor_kgm2: (MOTOR_S * axis.stall_nm) / toRad(axis.no_load_deg_s) });
    cured.push({
      before_ms: joint.before.saturated_ms,
      after_ms: joint.after.saturated_ms,
      nearer: joint.before.peak_error / joint.after.peak_error,
      slower: joint.full_range_s.after / most_s,
    });
  }
  const each = (text: (one: (typeof cured)[number]) => string): string => together(cured.map(text));
  return [
    {
      name: `jerk fixed on ${String(cured.length)} test axes with too high limits: time out of torque`,
      aim: '0 ms',
      measured: `${each(({ after_ms }) => after_ms.toFixed(0))} ms, from ${each(({ before_ms }) => before_ms.toFixed(0))} ms`,
      isMet: cured.every(({ after_ms }) => after_ms === 0),
    },
    {
      name: 'the same: tracking error, without the sag at rest',
      aim: '5 x smaller',
      measured: `${each(({ nearer }) => nearer.toFixed(0))} x smaller`,
      isMet: cured.every(({ nearer }) => nearer >= 5),
    },
    {
      name: 'the same: full-range time ÷ time-optimal within `peak_use`',
      aim: '1.2 x',
      measured: `${each(({ slower }) => slower.toFixed(2))} x`,
      isMet: cured.every(({ slower }) => slower <= 1.2),
    },
  ];
}

function wobble(): AimRow {
  const [exact = NaN] = swingsLeft({ cure: 'exact', hz: HZ, damping: DAMPING }, [1], OVER);
  const tolerant = Math.max(...swingsLeft({ cure: 'tolerant', hz: HZ, damping: DAMPING }, WITHIN_14_PERCENT, OVER));
  return {
    name: 'wobble cured: residual vibration, "exact" at its design frequency, "tolerant" at ±14 %',
    aim: '5 %',
    measured: `${(100 * exact).toFixed(1)} and ${(100 * tolerant).toFixed(1)} %`,
    isMet: exact <= 0.05 && tolerant <= 0.05,
  };
}

export const cures = async (sim: Target): Promise<AimRow[]> => [...(await jerks(sim)), wobble()];
