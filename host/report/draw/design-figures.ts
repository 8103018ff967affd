/** Platforms in plan at home, in the base's own frame and all at one scale: base and plate through their joints, cranks and rods. */
import type { Platform, Rig, Vec3 } from '../../rig/rig.ts';
import { type Markup, markup } from './markup.ts';
import { type Drawing, extentOf } from './prop.ts';
import { type Placed, drawingSvg } from './scene.ts';
import { type Point, hull } from './silhouette.ts';
import { label, path, px } from './svg.ts';

const SIZE = 190;
const EDGE = 8;
/** For the bar. */
const FOOT = 14;
/** Length of the arrow that shows x. */
const ARROW = 22;
const SCALES_MM = [10, 20, 50, 100, 200, 500, 1000];

export interface DesignFigures {
  readonly figures: readonly Markup[];
  /** Of the bar in each. */
  readonly scale_mm: number;
  /** What is drawn, in words. */
  readonly of: string;
}

const flat = ([x, y]: Vec3): Point => [x, y];

function planOf({ platform, joints }: Rig): readonly Drawing[] {
  if (!platform) return [];
  const legs = platform.legs.map((_, i) => legDrawings(platform, joints[i]?.home ?? 0, i));
  const ring = (role: 'base' | 'plate', points: readonly Vec3[]): Drawing => ({
    role,
    name: role,
    far: false,
    kind: 'outline',
    points: hull(points.map(flat)),
  });
  return [
    ring(
      'base',
      platform.legs.map(({ base_mm }) => base_mm),
    ),
    ring(
      'plate',
      platform.legs.map(({ moving_mm }) => moving_mm),
    ),
    ...legs.flat(),
  ];
}

/** The rod under the crank, so that short cranks show. */
function legDrawings(platform: Platform, home: number, i: number): Drawing[] {
  const { base_mm, moving_mm, azimuth_rad } = platform.legs[i]!;
  const line = (role: 'rod' | 'crank', from: Vec3, to: Vec3): Drawing => ({
    role,
    name: `leg${String(i + 1)}`,
    far: false,
    kind: 'line',
    points: [flat(from), flat(to)],
  });
  if (platform.drive === 'linear') return [line('rod', base_mm, moving_mm)];
  const out = platform.crank_mm * Math.cos(home);
  const end: Vec3 = [base_mm[0] + out * Math.cos(azimuth_rad), base_mm[1] + out * Math.sin(azimuth_rad), 0];
  return [line('rod', end, moving_mm), line('crank', base_mm, end)];
}

export function designFigures(rigs: readonly Rig[]): DesignFigures {
  const all = rigs.map(planOf);
  const extents = all.map(extentOf);
  // About the base's centre, so that sizes compare by eye.
  const reach = Math.max(1, ...extents.flatMap(({ x, z }) => [...x, ...z].map(Math.abs)));
  const px_per_mm = (SIZE / 2 - EDGE) / reach;
  const scale_mm = SCALES_MM.findLast((length) => length * px_per_mm <= SIZE / 3) ?? SCALES_MM[0]!;
  const height = SIZE + FOOT;
  const placed: Placed = {
    width: SIZE,
    height,
    px_per_mm,
    view: ([x, y]) => [SIZE / 2 + x * px_per_mm, SIZE / 2 - y * px_per_mm],
  };
  const y = height - 8;
  const figures = all.map(
    (
      drawings,
      i,
    ) => markup`<svg class="platform" viewBox="0 0 ${SIZE} ${height}" role="img" aria-label="Design ${i + 1} from above at home">
      <g class="now">${drawings.map((drawing) => drawingSvg(drawing, placed))}</g>
      ${path('scale-bar', `M${SIZE - EDGE - ARROW} ${y}h${ARROW}m-5 -3l5 3l-5 3`)}${label('x', SIZE - EDGE - ARROW - 5, y + 4, 'end', 'axis-name')}
      ${path('scale-bar', `M${EDGE} ${y - 3}v6M${EDGE} ${y}h${px(scale_mm * px_per_mm)}m0 -3v6`)}
    </svg>`,
  );
  const isLinear = rigs.some(({ platform }) => platform?.drive === 'linear');
  return {
    figures,
    scale_mm,
    of: `base and plate through their joints, ${isLinear ? 'and the six actuators' : 'the six cranks and rods'}; x, forward, points to the right as the arrow does`,
  };
}
