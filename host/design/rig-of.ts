/**
 * A design as a rig file: the given text with the designed figures written over, comments and all else kept. What a figure rested on
 * (measured, estimated) goes with it: what is designed is given.
 */
import { readDocument } from '../rig/document.ts';
import { type FigureChange, type Plain, withFigures } from '../rig/edit.ts';
import { stageEfficiency } from '../rig/gear.ts';
import { type Joint, toDeg, toShown } from '../rig/rig.ts';
import type { AxisDesign, Design } from './design.ts';
import { counterweightName, legLimits } from './evaluate/candidate-rig.ts';
import { counterweightPlace } from './evaluate/counterweight.ts';
import { assumedSaid, oldFiguresSaid } from './rig-comments.ts';
import { BY, isThere } from './want/resolve.ts';
import type { Want } from './want/want.ts';

type Raw = Readonly<Record<string, unknown>>;

/** Angles come back to the step that they were rounded to. */
const degrees = (rad: number): number => Number(toDeg(rad).toFixed(6));
const short = (value: number): number => Number(value.toFixed(6));

const group = (value: unknown): Raw => (typeof value === 'object' && value !== null ? (value as Raw) : {});

/**
 * @param name what the rig is called.
 * @returns null: the text has no place for a figure, as it shares it with another by an anchor.
 */
export function rigOf(want: Want, design: Design, name: string): string | null {
  const data = readDocument(want.base_text, '').document?.data ?? {};
  const changes: FigureChange[] = [
    { path: ['rig'], to: name },
    ...platformChanges(want, design, group(data['platform'])),
    ...ownLimitChanges(want, design),
    ...bodyChanges(want, design, group(data['platform'])),
    ...servoChanges(want, design, group(data['servos'])),
    ...design.axes.flatMap((axis) => axisChanges(want, axis)),
    ...speedChanges(want, design),
    ...weightChanges(want, design, data['parts']),
  ];
  const text = withFigures(
    want.base_text,
    changes.filter(({ path, to }) => !isThere(data, path, to)),
    BY,
  );
  return text === null ? null : assumedSaid(oldFiguresSaid(text, want.base_text), want.clearance.assumed);
}

/** The bodies that the design was found with, so that all commands see the same: the body of the class that was chosen, where it says one. */
function bodyChanges({ servos, clearance }: Want, { servo }: Design, platform: Raw): FigureChange[] {
  const { assumed, ...usual } = clearance;
  const body = servos[servo]?.body_mm;
  const said: Readonly<Record<string, Plain>> = {
    ...Object.fromEntries(Object.entries(usual).filter(([key]) => assumed.includes(key))),
    ...(body ? { servo_body_mm: body } : {}),
  };
  if (platform['clearance'] === undefined) return [{ path: ['platform', 'clearance'], to: said }];
  return Object.entries(said).map(([key, to]) => ({ path: ['platform', 'clearance', key], to }));
}

function platformChanges({ stock, base }: Want, design: Design, platform: Raw): FigureChange[] {
  const at = (...path: string[]): string[] => ['platform', ...path];
  const plate = (key: 'base' | 'moving', radius_mm: number, half_rad: number): FigureChange[] => {
    const ring = { radius_mm: short(radius_mm), half_angle_deg: degrees(half_rad) };
    if (group(platform[key])['points_mm'] !== undefined) return [{ path: at(key), to: ring }];
    return Object.entries(ring).map(([name, to]) => ({ path: at(key, name), to }));
  };
  const changes = [
    ...(stock.keep.includes('base') ? [] : plate('base', design.base_radius_mm, design.base_half_rad)),
    ...(stock.keep.includes('plate') ? [] : plate('moving', design.plate_radius_mm, design.plate_half_rad)),
    { path: at('home_z_mm'), to: design.home_z_mm ?? 'level' },
  ];
  if (base.platform?.drive === 'linear') return [...changes, ...strokeChanges(design, platform)];
  const limits = design.limits && design.limits.map(degrees);
  return [
    ...changes,
    { path: at('crank_mm'), to: design.crank_mm },
    { path: at('rod_mm'), to: design.rod_mm },
    ...(stock.keep_azimuths ? [] : [{ path: at('crank_azimuth_deg'), to: design.facing }]),
    ...(limits ? [{ path: at('limit_deg'), to: limits }] : []),
  ];
}

/** Unless they are designed, soft limits stay as far inside the stroke as they were. */
function strokeChanges({ stroke_mm, limits }: Design, platform: Raw): FigureChange[] {
  const drawnIn = limits ? [{ path: ['platform', 'limit_mm'], to: limits.map(short) }] : [];
  if (!stroke_mm) return drawnIn;
  const [from, to] = platform['stroke_mm'] as [number, number];
  const [lo, hi] = platform['limit_mm'] as [number, number];
  return [
    { path: ['platform', 'stroke_mm'], to: stroke_mm },
    ...(limits
      ? drawnIn
      : [{ path: ['platform', 'limit_mm'], to: [short(stroke_mm[0] + lo - from), short(stroke_mm[1] - (to - hi))] }]),
  ];
}

/** Of legs that have soft limits of their own, where others or another stroke are designed. */
function ownLimitChanges({ base, own_limits }: Want, design: Design): FigureChange[] {
  if (!design.limits && !design.stroke_mm) return [];
  return base.joints.slice(0, 6).flatMap(({ name, unit }, i): FigureChange[] => {
    if (!own_limits[i]) return [];
    const to = legLimits(base, design, i, true).map((value) => short(toShown({ unit }, value)));
    return [{ path: ['joints', name, `limit_${unit}`], to }];
  });
}

function servoChanges({ servos }: Want, design: Design, known: Raw): FigureChange[] {
  const used = new Set([design.servo, ...design.axes.map(({ servo }) => servo)].filter((i) => i >= 0));
  const added = [...used].flatMap((i): FigureChange[] => {
    const choice = servos[i];
    if (!choice || Object.hasOwn(known, choice.name)) return [];
    return [{ path: ['servos', choice.name], to: choice.file as Readonly<Record<string, Plain>> }];
  });
  const legs = servos[design.servo];
  return legs ? [...added, { path: ['platform', 'servo'], to: legs.name }] : added;
}

function axisChanges({ base, servos }: Want, { joint, gear_ratio, servo }: AxisDesign): FigureChange[] {
  const at = (key: string): string[] => ['joints', joint, key];
  const choice = servos[servo];
  const now = base.joints.find(({ name }) => name === joint)!;
  const efficiency = stageEfficiency(now, gear_ratio ?? now.gear_ratio);
  return [
    ...(choice ? [{ path: at('servo'), to: choice.name }] : []),
    ...(gear_ratio === null ? [] : [{ path: at('gear_ratio'), to: gear_ratio }]),
    ...(efficiency === now.gear_efficiency ? [] : [{ path: at('gear_efficiency'), to: efficiency }]),
  ];
}

/**
 * Where a chosen servo and gear are slower than the given speed limit, the limit comes down to their no-load speed; how much lower it
 * should be `tune` says.
 */
function speedChanges({ base, servos }: Want, { servo, axes }: Design): FigureChange[] {
  const leg = base.joints[0]!;
  const slower = (path: string[], { unit, speed }: Joint, most: number | null | undefined): FigureChange[] =>
    most == null || speed <= most
      ? []
      : [{ path: [...path, `speed_${unit}_s`], to: roundedDown(toShown({ unit }, most)) }];
  return [
    ...slower(['motion', 'leg'], leg, servos[servo]?.servo.no_load_speed),
    ...axes.flatMap((axis) => {
      const joint = base.joints.find(({ name }) => name === axis.joint)!;
      const speed = (servos[axis.servo]?.servo ?? joint.servo).no_load_speed;
      return slower(['joints', axis.joint], joint, speed && speed / (axis.gear_ratio ?? joint.gear_ratio));
    }),
  ];
}

/** To tenths of mm/s or deg/s; what is a tenth but for rounding stays it. */
const roundedDown = (speed: number): number => Math.floor(10 * speed + 1e-6) / 10;

/** Counterweights become parts: points, until they have a shape. */
function weightChanges({ base }: Want, { axes }: Design, parts: unknown): FigureChange[] {
  const weights = axes.flatMap(({ joint, counterweight }): Plain[] => {
    if (!counterweight || counterweight.kg === 0) return [];
    const at_mm = counterweightPlace(base, joint, counterweight.at_mm).map((value) => Number(value.toFixed(3)) || 0);
    return [{ name: counterweightName(joint), on: joint, mass_kg: counterweight.kg, at_mm, inertia_kgmm2: [0, 0, 0] }];
  });
  if (weights.length === 0) return [];
  if (!Array.isArray(parts) || parts.length === 0) return [{ path: ['parts'], to: weights }];
  return weights.map((to, i) => ({ path: ['parts', parts.length + i], to }));
}
