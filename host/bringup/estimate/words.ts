/** An estimate in sentences. */
import { counted, short, together } from '../../rig/words.ts';
import type { FigureFound, GeometryFound, OddReading } from './estimate.ts';
import type { ScaleFound } from './scale.ts';

const UNITS = { mm: 'mm', deg: 'deg', us: 'µs' } as const;

export const words = (scales: readonly ScaleFound[], geometry: GeometryFound | null): string[] => [
  ...scales.map(scaleWords),
  ...(geometry ? geometryWords(geometry) : []),
  'what a figure may be off by holds 19 times in 20: the readings’ own scatter with Student’s t (NIST/SEMATECH e-Handbook, 4.1.4; Björck 1996)',
];

function scaleWords({
  joint,
  unit,
  readings,
  centre_us,
  centre_off_us,
  us_per_unit,
  us_per_unit_off,
  sense,
  spread,
}: ScaleFound): string {
  const scale = `${short(us_per_unit, 3)} ± ${short(us_per_unit_off, 3)} µs per ${unit}`;
  return `${joint}: ${scale}, centre ${short(centre_us, 1)} ± ${short(centre_off_us, 1)} µs, sense ${String(sense)}, from ${counted(readings, 'reading')} that scatter by ${short(spread, 2)} ${unit}`;
}

/** Of readings that scatter so much more than usual something is wrong, and the limits with it (ours). */
const WIDE = 2;

function geometryWords(found: GeometryFound): string[] {
  const { figures, readings, poses, rank, left_mm, left_deg, spread, odd } = found;
  const left = [
    ...(left_mm === null ? [] : [`${short(left_mm, 3)} mm`]),
    ...(left_deg === null ? [] : [`${short(left_deg, 3)} deg`]),
  ];
  return [
    `${counted(readings, 'reading')} at ${counted(poses, 'pose')} tell ${String(rank)} of ${counted(figures.length, 'figure')}; what they leave is ${left.join(' and ')} (root mean square)`,
    ...figures.map(figureWords),
    ...apartWords(found),
    ...(odd ? [oddWords(odd)] : []),
    ...(spread > WIDE && !odd
      ? [
          `the readings scatter ${short(spread, 1)} times as much as is usual: play in the rod ends, a ruler that does not stand upright, or a geometry of another kind than the rig’s`,
        ]
      : []),
  ];
}

const DIGITS = 3;

function figureWords({ name, unit, value, at, off, held }: FigureFound): string {
  const rig = `the rig says ${short(at, DIGITS)}`;
  const shown = UNITS[unit];
  return held > 0.9
    ? `${name}: the readings do not tell it; it stays at ${short(at, DIGITS)} ${shown}`
    : `${name} is ${short(value, DIGITS)} ± ${short(off, DIGITS)} ${shown}; ${rig}`;
}

function apartWords({ apart, figures }: GeometryFound): string[] {
  if (apart.length === 0) return [];
  const names = figures.map(({ name }) => name).filter((name) => apart.some((group) => group.includes(name)));
  const what = names.length === 1 ? `tell ${names[0]!}` : `tell ${together(names)} apart`;
  const held =
    apart.length === 1
      ? 'what is left open stays as the rig has it'
      : `${String(apart.length)} combinations of them stay as the rig has them`;
  return [
    `the readings cannot ${what}: ${held}; more poses, further apart, with both tilts read, or yaw_deg, x_mm and y_mm as well, tell more`,
  ];
}

const oddWords = ({ line, name, value, instead }: OddReading): string =>
  `line ${String(line)}: ${name} is ${short(value, 2)}, and by all the other readings it would be ${short(instead, 2)}: read it again, or leave the cell empty`;
