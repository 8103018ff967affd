/** Platforms from the side at home, without what stands on them, all at one scale, so that sizes can be seen. */
import { postureAt } from '../../physics/dynamics/places.ts';
import { HOME, type Rig } from '../../rig/rig.ts';
import { type Markup, markup } from './markup.ts';
import { type Drawing, extentOf, propSide } from './prop.ts';
import { type Placed, drawingSvg } from './scene.ts';
import { path, px } from './svg.ts';

const WIDTH = 210;
const HEIGHT = 150;
const EDGE = 10;
const SCALES_MM = [10, 20, 50, 100, 200, 500, 1000];

export interface DesignFigures {
  readonly figures: readonly Markup[];
  /** Of the bar in each. */
  readonly scale_mm: number;
}

const PLATFORM: readonly Drawing['role'][] = ['base', 'crank', 'rod', 'plate'];

function platformOf(rig: Rig): readonly Drawing[] {
  const others = rig.joints.filter(({ kind }) => kind === 'axis').map(({ home }) => home);
  const at = postureAt(rig, HOME, others);
  return propSide({ ...rig, parts: [] }, at ? [...Array.from(at.q)] : rig.joints.map(() => null), HOME).filter(
    ({ role }) => PLATFORM.includes(role),
  );
}

export function designFigures(rigs: readonly Rig[]): DesignFigures {
  const all = rigs.map(platformOf);
  const extents = all.map(extentOf);
  const across = Math.max(1, ...extents.map(({ x }) => x[1] - x[0]));
  const up = Math.max(1, ...extents.map(({ z }) => z[1] - z[0]));
  const px_per_mm = Math.min((WIDTH - 2 * EDGE) / across, (HEIGHT - 3 * EDGE) / up);
  const scale_mm = SCALES_MM.findLast((length) => length * px_per_mm <= WIDTH / 3) ?? SCALES_MM[0]!;
  const figures = all.map((drawings, i) => {
    const { x, z } = extents[i]!;
    const [left, foot] = [
      WIDTH / 2 - ((x[0] + x[1]) / 2) * px_per_mm,
      (HEIGHT - EDGE) / 2 + ((z[0] + z[1]) / 2) * px_per_mm,
    ];
    const placed: Placed = {
      width: WIDTH,
      height: HEIGHT,
      px_per_mm,
      view: ([a, b]) => [left + a * px_per_mm, foot - b * px_per_mm],
    };
    const y = HEIGHT - 7;
    return markup`<svg class="platform" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="Design ${i + 1} from the side at home">
      <g class="now">${drawings.map((drawing) => drawingSvg(drawing, placed))}</g>
      ${path('scale-bar', `M${EDGE} ${y - 3}v6M${EDGE} ${y}h${px(scale_mm * px_per_mm)}m0 -3v6`)}
    </svg>`;
  });
  return { figures, scale_mm };
}
