/** What is allowed in a rig and yet should be known before it has power: warnings, never errors. */
import { BOARD_KINDS, boardFaults, boardLacks } from './boards.ts';
import { frictionWords, rubsMuch } from './friction.ts';
import type { Say } from './problem.ts';
import { type Rig, toDeg, toShown } from './rig.ts';
import { LEAST_MOTOR_TIME_S, MOST_MOTOR_TIME_S, MOTOR_TIME_S, inertiaFor, motorTime_s } from './rotor.ts';
import { short, together } from './words.ts';
import { servoClasses } from './servo-classes.ts';

export function advise(rig: Rig, say: Say): void {
  stalledCurrent(rig, say);
  geared(rig, say);
  unattended(rig, say);
  unlikelyInertia(rig, say);
  unlikelyRotors(rig, say);
  unlikelyFriction(rig, say);
  onBoard(rig, say);
  lowVoltage(rig, say);
  beyondWalk(rig, say);
}

/** Rounding of limits and walks in a file, rad or mm. */
const SAME = 1e-6;

/** Soft limits that somebody widened after the walk. */
function beyondWalk({ joints }: Rig, say: Say): void {
  for (const { name, unit, lo, hi, walked } of joints) {
    if (!walked || (lo >= walked[0] - SAME && hi <= walked[1] + SAME)) continue;
    const ends = (pair: readonly number[]): string => pair.map((at) => short(toShown({ unit }, at), 2)).join(' to ');
    say.warning(
      ['joints', name, `walked_${unit}`],
      `its soft limits are ${ends([lo, hi])} ${unit}, and it was walked from ${ends(walked)} ${unit}: nobody knows whether it binds beyond; walk it again, or narrow limit_${unit}`,
    );
  }
}

/** Cells are empty long before this share of what the battery's name says: lithium at 3.0 of 3.7 V (common practice). */
const EMPTY_SHARE = 0.7;

/** A voltage to settle at which nothing measures, or that says nothing of this supply. */
function lowVoltage({ supply, board }: Rig, say: Say): void {
  const { low_v = null, voltage_v = null, kind } = supply ?? {};
  if (low_v === null) return;
  const path = ['supply', 'low_v'];
  if (kind === 'mains')
    say.warning(
      path,
      `found ${short(low_v, 2)} on mains: it is for a battery that runs empty. A mains supply sags when all servos pull, and the prop would settle in the middle of that: leave it out`,
    );
  else if (voltage_v !== null && low_v < EMPTY_SHARE * voltage_v)
    say.warning(
      path,
      `found ${short(low_v, 2)} V, ${short((100 * low_v) / voltage_v, 0)} % of voltage_v: a battery is empty, and may be spoilt, before it is so low (lithium cells of 3.7 V at 3.0 V; common practice)`,
    );
  if (!board)
    say.warning(
      path,
      `found ${short(low_v, 2)}, and the file names no board: whether anything measures the supply is not known`,
    );
}

/** A board of another name, pins that the board does not have: firmware that cannot be made, an input that does nothing, or a supply that is not watched. */
function onBoard(rig: Rig, say: Say): void {
  if (!rig.board) return;
  const { kind } = rig.board;
  if (!BOARD_KINDS.includes(kind))
    say.warning(['board', 'kind'], `found ${kind}; there is firmware for ${together(BOARD_KINDS)}, and no other`);
  for (const { path, message } of [...boardFaults(rig, kind), ...boardLacks(rig, kind)]) say.warning(path, message);
}

/** All servos stalled at once, as when the prop is jammed: what is unknown counts as nothing, so this is the least. */
function stalledCurrent({ joints, supply }: Rig, say: Say): void {
  const limit_a = supply?.current_a ?? null;
  if (limit_a === null) return;
  const currents = joints.map(({ servo }) => servo.stall_current_a);
  const least_a = currents.reduce<number>((sum, current) => sum + (current ?? 0), 0);
  if (least_a <= limit_a) return;
  const unknown = currents.includes(null) ? 'at least ' : '';
  say.warning(
    ['supply', 'current_a'],
    `all ${String(joints.length)} servos stalled at once would draw ${unknown}${short(least_a)} A, but the supply gives only ${short(limit_a)} A: if the prop jams, its voltage drops for every servo`,
  );
}

/** A gear divides the servo's travel: what is left must hold the soft limits. Where in it they lie is checked by their pulses. */
function geared({ joints }: Rig, say: Say): void {
  for (const { name, gear_ratio, range_us, us_per_unit, lo, hi } of joints) {
    const left = (range_us[1] - range_us[0]) / us_per_unit;
    if (gear_ratio === 1 || left >= hi - lo) continue;
    say.warning(
      ['joints', name, 'gear_ratio'],
      `a gear of ${short(gear_ratio, 2)}:1 leaves ${short(toDeg(left))} deg of the servo's travel, and the soft limits ask for ${short(toDeg(hi - lo))} deg: a smaller ratio, or a servo that turns further`,
    );
  }
}

/** A show that nobody watches needs a prop that stands without power, and people kept away from it. */
function unattended({ rest, audience }: Rig, say: Say): void {
  if (rest === 'powered')
    say.warning(
      ['rest'],
      'this prop would fall without power, so it cannot run shows unattended: give it a stop to rest on, or let it hang',
    );
  if (audience === 'within_reach')
    say.warning(
      ['audience'],
      'people can reach this prop, so it cannot run shows unattended: those need behind_barrier',
    );
}

/** Of any body the largest of three moments of inertia is at most the sum of the other two. */
function unlikelyInertia({ parts }: Rig, say: Say): void {
  parts.forEach(({ inertia_kgmm2 }, i) => {
    if (!inertia_kgmm2) return;
    const [a, b, c] = [...inertia_kgmm2].sort((x, y) => x - y) as [number, number, number];
    if (c <= (a + b) * 1.02) return;
    const found = together(inertia_kgmm2.map((value) => short(value, 2)));
    say.warning(
      ['parts', i, 'inertia_kgmm2'],
      `found ${found}: no body has these, the largest is more than the other two together`,
    );
  });
}

/**
 * A motor that is far quicker than any of its kind: the inertia in the file is the bare rotor's, before its gears, or too small. Or far
 * slower: in other units.
 */
function unlikelyRotors({ joints }: Rig, say: Say): void {
  for (const servo of servoClasses(joints)) {
    const time_s = motorTime_s(servo);
    if (time_s === null || (time_s >= LEAST_MOTOR_TIME_S && time_s <= MOST_MOTOR_TIME_S)) continue;
    const likely = inertiaFor(servo, MOTOR_TIME_S) ?? 0;
    say.warning(
      ['servos', servo.name, 'rotor_inertia_kgm2'],
      `found ${String(servo.rotor_inertia_kgm2)} kg·m²: at the output, gears and all, that means a motor time constant (inertia · no-load speed / stall torque) of ${short(1000 * time_s, 2)} ms, and small motors have 5 to 20 ms; 10 ms would be ${likely.toPrecision(2)} kg·m². Where it is left out, that is taken`,
    );
  }
}

/** A servo that rubs away much of what it gives: a figure in other units, or a servo that is worn. */
function unlikelyFriction({ joints }: Rig, say: Say): void {
  for (const servo of new Map(joints.map((joint) => [joint.servo.name, joint.servo])).values())
    if (rubsMuch(servo))
      say.warning(
        ['servos', servo.name, 'friction_nm'],
        `${frictionWords(servo)} before anything moves: it is in N·m, at the output, and most servos lose far less than that`,
      );
}
