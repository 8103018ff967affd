/** What a rig does not say of its weight, in words: each is left out of the sums or assumed, and every answer has to tell. */
import { ASSUMED_KG_M3, ballRadius_mm } from '../../rig/ball.ts';
import type { Joint, Part, Rig, Servo } from '../../rig/rig.ts';
import { MOTOR_TIME_S, type Rotor, rotorOf } from '../../rig/rotor.ts';
import { NOT_MEASURED, typicalFigures } from '../../rig/typical.ts';
import { short, together } from '../../rig/words.ts';
import { type Link, carrying } from './links.ts';
import { carrierOf } from './riders.ts';
import { servoClasses } from '../../rig/servo-classes.ts';

/** Something that is not known: its key path, the joints whose efforts feel it, words without a full stop that say what is done. */
export interface Gap {
  readonly path: string;
  readonly joints: readonly string[];
  readonly words: string;
  /** Something likely stands for it, so that its joints are told; else it is left out. */
  readonly assumed?: true;
}

/** @param parts those that count, @param links what carries them. */
export function gapsOf(rig: Rig, parts: readonly Part[], links: readonly Link[]): readonly Gap[] {
  const gaps = [
    ...parts.flatMap((part) => partGap(rig, part)),
    ...rodGaps(rig),
    ...emptyLinks(rig, parts, links),
    ...rig.joints.flatMap((joint) => loadGap(rig, joint)),
    ...rotorGaps(rig),
  ];
  return gaps.filter(({ joints }) => joints.length > 0);
}

function partGap(rig: Rig, { name, on, mass_kg, shape, inertia_kgmm2 }: Part): Gap[] {
  const joints = carrying(rig, on);
  const path = `parts.${name}`;
  if (mass_kg === null) return [{ path: `${path}.mass_kg`, joints, words: `the mass of ${name} is unknown: left out` }];
  if (shape !== null || inertia_kgmm2 !== null || mass_kg === 0) return [];
  const words = `${name} has no shape: taken as a solid ball of ${short(ASSUMED_KG_M3, 0)} kg/m³, ${short(2 * ballRadius_mm(mass_kg), 0)} mm across (assumed)`;
  return [{ path: `${path}.shape`, joints, words, assumed: true }];
}

function rodGaps(rig: Rig): Gap[] {
  const { platform } = rig;
  if (!platform) return [];
  const joints = carrying(rig, 'moving');
  const gap = (key: string, what: string): Gap => ({
    path: `platform.${key}`,
    joints,
    words: `the mass of ${what} is not given: left out, unless the parts include it`,
  });
  if (platform.drive === 'linear') return [];
  return [
    ...(platform.crank_kg === null ? [gap('crank_kg', 'a crank')] : []),
    ...(platform.rod_kg === null ? [gap('rod_kg', 'a rod')] : []),
  ];
}

/** Links that should carry weight and have none, themselves and all they carry. */
function emptyLinks(rig: Rig, parts: readonly Part[], links: readonly Link[]): Gap[] {
  const loaded = new Set(parts.map(({ on }) => on));
  for (let l = links.length - 1; l > 0; l--) {
    const { name, parent } = links[l]!;
    if (loaded.has(name)) loaded.add(links[parent]!.name);
  }
  return links
    .filter(({ name, kind }) => (kind === 'axis' || kind === 'moving') && !loaded.has(name))
    .filter(({ joint }) => !rig.joints[joint]?.load)
    .map(({ name, kind }) => ({
      path: 'parts',
      joints: carrying(rig, name).slice(0, kind === 'moving' ? 6 : 1),
      words: `nothing is said to weigh on ${kind === 'moving' ? 'the moving plate' : name}: counted as empty`,
    }));
}

function loadGap(rig: Rig, joint: Joint): Gap[] {
  const { name, kind, axis, load } = joint;
  const gap = (path: string, words: string): Gap[] => [{ path: `joints.${name}${path}`, joints: [name], words }];
  if (kind === 'leg' || (axis && !load)) return [];
  if (!load) return gap('', `${name} has neither an axis nor a load: only its servo's own inertia counts`);
  if (load.mass_kg === null) {
    const on = carrierOf(rig, joint);
    const joints = [name, ...(on === null ? [] : carrying(rig, on))];
    return gap('.load.mass_kg', `the mass on ${name} is unknown: its weight is left out`).map((one) => ({
      ...one,
      joints,
    }));
  }
  if (load.arm_mm === null) return gap('.load.arm_mm', `the arm of ${name}'s load is unknown: its weight is left out`);
  if (load.inertia_kgm2 !== null) return [];
  return gap('.load.inertia_kgm2', `how hard ${name}'s load is to turn is not given: taken as a point at its arm`);
}

/** One for each servo class. */
function rotorGaps({ joints }: Rig): Gap[] {
  return servoClasses(joints).flatMap((servo) => {
    if (servo.rotor_inertia_kgm2 !== null) return [];
    const users = joints.filter((joint) => joint.servo.name === servo.name).map(({ name }) => name);
    const rotor = rotorOf(servo);
    const gap = {
      path: `servos.${servo.name}.rotor_inertia_kgm2`,
      joints: users,
      words: rotorWords(servo, rotor, users),
    };
    return [rotor ? { ...gap, assumed: true } : gap];
  });
}

function rotorWords(servo: Servo, rotor: Rotor | null, users: readonly string[]): string {
  const { name, drive } = servo;
  const turns = drive === 'rotary';
  const what = `the ${turns ? 'inertia of rotor and gears' : 'mass of screw and motor'} inside the ${name} servos (${together(users)}) is not given`;
  if (!rotor) return `${what}: left out`;
  const usual = typicalFigures(servo, 'rotor_inertia_kgm2');
  const value = `${rotor.inertia.toPrecision(2)} ${turns ? 'kg·m²' : 'kg'}`;
  return `${what}: taken as ${value}, a motor time constant of ${short(1000 * MOTOR_TIME_S, 0)} ms (assumed)${usual === null ? '' : `; ${usual} ${NOT_MEASURED}`}`;
}
