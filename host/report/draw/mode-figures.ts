/**
 * The swings of a prop as moving pictures, without a script: SMIL inside SVG. Both ends of the swing stand behind as dashed
 * outlines, so that the picture reads where it does not move: on paper, for who wants no motion, and held still by the box above.
 */
import { extent } from 'd3-array';
import { modeWords } from '../../load/words.ts';
import { type Mode, assumedIn } from '../../physics/vibration/modes.ts';
import type { Posture } from '../../physics/dynamics/places.ts';
import type { Rig } from '../../rig/rig.ts';
import { together } from '../../rig/words.ts';
import { kept, number } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { type Swing, type SwungShape, type ViewName, swingOf, travelOf } from './mode-shape.ts';
import type { Role } from './prop.ts';
import type { View } from './scene.ts';
import type { Point } from './silhouette.ts';
import { px } from './svg.ts';

const WIDTH = 430;
const HEIGHT = 290;
const EDGE = 16;
/** Pictures drawn; the others are told. */
const DRAWN = 4;

/** A swing of the slowest is drawn this long, the others in proportion but never faster than the eye likes; s. */
const SLOWEST_S = 2.4;
const FASTEST_S = 1;

const SEEN_WORDS: Readonly<Record<ViewName, string>> = {
  side: 'from its right side',
  front: 'from its front',
  above: 'from above',
};

/** What moves by less is not drawn at both ends, mm. */
const SEEN_MM = 0.5;

/** Drawn at both ends of a swing. */
const GHOSTS: readonly Role[] = ['plate', 'part', 'body', 'base'];

/** One that is drawn, with how long a swing of it takes on the page. */
interface Drawn {
  readonly mode: Mode;
  readonly swing: Swing;
  readonly lasts_s: number;
}

function fitted({ shapes }: Swing): View {
  const points = shapes.flatMap(({ rest, plus, minus }) => [...rest, ...plus, ...minus]);
  const [x0 = 0, x1 = 1] = extent(points, ([x]) => x);
  const [z0 = 0, z1 = 1] = extent(points, ([, z]) => z);
  const scale = Math.min((WIDTH - 2 * EDGE) / Math.max(x1 - x0, 1), (HEIGHT - 2 * EDGE) / Math.max(z1 - z0, 1));
  return ([x, z]) => [WIDTH / 2 + (x - (x0 + x1) / 2) * scale, HEIGHT / 2 - (z - (z0 + z1) / 2) * scale];
}

const pathOf = (points: readonly Point[], kind: SwungShape['kind'], view: View): string =>
  `M${points.map((point) => view(point).map(px).join(' ')).join('L')}${kind === 'closed' ? 'Z' : ''}`;

/**
 * A quarter swing to and from its end as cubics of time: a sine within 1.1 % of its height, and as steep where quarters meet
 * (by differentiation: the sine's slope there is π/2, so the control points lie at 1 - π/6 = 0.476).
 */
const TO_END = '.333 .524 .667 1';
const FROM_END = '.333 0 .667 .476';

function animate(attribute: string, [plus, rest, minus]: readonly [string, string, string], lasts_s: number): Markup {
  return markup`<animate attributeName="${attribute}" values="${[plus, rest, minus, rest, plus].join(';')}" dur="${lasts_s}s" repeatCount="indefinite" calcMode="spline" keyTimes="0;.25;.5;.75;1" keySplines="${[FROM_END, TO_END, FROM_END, TO_END].join(';')}"/>`;
}

const RADIUS = { pivot: 5, other: 2.6 } as const;

/** One shape, at rest or, given how long a swing lasts, moving. */
function shapeSvg(shape: SwungShape, view: View, lasts_s: number | null): Markup {
  const kind = shape.far ? `${shape.role} far` : shape.role;
  const phases = [shape.plus, shape.rest, shape.minus] as const;
  const moving = (attribute: string, of: (points: readonly Point[]) => string): Markup | null => {
    const [plus, rest, minus] = [of(phases[0]), of(phases[1]), of(phases[2])];
    return lasts_s === null || (plus === rest && rest === minus)
      ? null
      : animate(attribute, [plus, rest, minus], lasts_s);
  };
  if (shape.kind === 'dot') {
    const along =
      (k: 0 | 1) =>
      (points: readonly Point[]): string =>
        px(view(points[0] ?? [0, 0])[k]);
    const radius = shape.role === 'pivot' ? RADIUS.pivot : RADIUS.other;
    return markup`<circle class="${kind}" cx="${along(0)(shape.rest)}" cy="${along(1)(shape.rest)}" r="${radius}">${moving('cx', along(0))}${moving('cy', along(1))}</circle>`;
  }
  const drawn = (points: readonly Point[]): string => pathOf(points, shape.kind, view);
  return markup`<path class="${kind}" d="${drawn(shape.rest)}">${moving('d', drawn)}</path>`;
}

function ghosts({ shapes }: Swing, end: 'plus' | 'minus', view: View): Markup[] {
  return shapes
    .filter((shape) => GHOSTS.includes(shape.role) && shape.kind === 'closed' && travelOf(shape) > SEEN_MM)
    .map((shape) => markup`<path class="${end}" d="${pathOf(shape[end], shape.kind, view)}"/>`);
}

const often = (hz: number): string => `${number(hz, 1)} times a second`;

function modeFigure({ mode, swing, lasts_s }: Drawn): Markup {
  const view = fitted(swing);
  const words = modeWords(mode);
  const still = swing.shapes.map((shape) => shapeSvg(shape, view, null));
  const moving =
    mode.hz === null
      ? null
      : markup`<g class="now moving">${swing.shapes.map((shape) => shapeSvg(shape, view, lasts_s))}</g>`;
  const how =
    mode.hz === null
      ? 'It does not spring back: the servos’ stiffness does not hold it against gravity here. Dashed: the ways it gives.'
      : `Swings ${often(mode.hz)}; drawn ${number(mode.hz * lasts_s, 0)} times slower, and up to ${number(swing.largest_mm, 0)} mm to either side, much more than in reality.`;
  return markup`<figure class="mode">
    <svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${words}, seen ${SEEN_WORDS[swing.seen]}">
      <g class="was ends">${ghosts(swing, 'plus', view)}${mode.hz === null ? null : ghosts(swing, 'minus', view)}</g>
      <g class="now still">${still}</g>${moving}
    </svg>
    <figcaption><b>${kept(words)}</b> <span class="beside">${SEEN_WORDS[swing.seen]}</span><span>${kept(how)}</span></figcaption>
  </figure>`;
}

/** The ways to swing that move something that has a place in space, as many as are drawn; the rest in words. */
function chosen(
  rig: Rig,
  at: Posture,
  modes: readonly Mode[],
): { readonly drawn: readonly Drawn[]; readonly told: readonly Mode[] } {
  const found: { mode: Mode; swing: Swing }[] = [];
  for (const mode of modes) {
    const swing = found.length < DRAWN ? swingOf(rig, at, mode) : null;
    if (swing) found.push({ mode, swing });
  }
  const slowest = Math.min(...found.flatMap(({ mode }) => mode.hz ?? []));
  const drawn = found.map(({ mode, swing }) => ({
    mode,
    swing,
    lasts_s:
      mode.hz === null ? SLOWEST_S : Math.max(FASTEST_S, Math.round((100 * SLOWEST_S * slowest) / mode.hz) / 100),
  }));
  return { drawn, told: modes.filter((mode) => !found.some((one) => one.mode === mode)) };
}

function others(told: readonly Mode[]): string | null {
  return told.length === 0 ? null : `Not drawn: ${told.map(modeWords).join('; ')}.`;
}

/** What else to know of them: where a stiffness that has a part in them is assumed; null: nowhere. */
function stiffnessWords(rig: Rig, drawn: readonly Mode[], told: readonly Mode[]): string | null {
  const assumed = [drawn, told].map((modes) => modes.flatMap((mode) => assumedIn(mode, rig)));
  const [inDrawn = [], inTold = []] = assumed;
  if (inDrawn.length + inTold.length === 0) return null;
  const names = new Set([...inDrawn, ...inTold].map(({ servo }) => servo.name));
  const which = inDrawn.length > 0 ? 'They depend' : 'Those that are not drawn depend';
  const isTurning = [...inDrawn, ...inTold].some(({ servo }) => servo.drive === 'rotary');
  const how = ' Measure it: hang a weight on the horn of a holding servo, and note how many degrees it sinks.';
  return `${which} on how stiff the servos are, which is assumed for ${together([...names])}, since the file does not say.${isTurning ? how : ''}`;
}

/** The section; modes null: none could be worked out. `at` is where they were worked out, in words `place`. */
export function modesSection(rig: Rig, at: Posture | null, modes: readonly Mode[] | null, place: string): Markup {
  const { drawn, told } = chosen(rig, at ?? { q: [], pose: [0, 0, 0, 0, 0, 0] }, at && modes ? modes : []);
  const head = markup`<h2>How it swings by itself</h2>`;
  if (!modes || modes.length === 0) {
    const why = modes ? 'no joint has both a stiffness and something that weighs' : 'the plate hangs loose here';
    return markup`<section id="modes">${head}<p>Unknown: ${why}.</p></section>`;
  }
  const notes = [
    others(told),
    stiffnessWords(
      rig,
      drawn.map(({ mode }) => mode),
      told,
    ),
  ].flatMap((words) => (words === null ? [] : [markup`<p class="lead">${kept(words)}</p>`]));
  return markup`<section id="modes">
    ${head}
    <p class="lead">Knock it, and it swings at these natural frequencies, held by its servos at ${place}. A move that contains one of these frequencies sets it swinging. Dashed and dotted are the two ends of a swing. Rods, plates and stand are taken as rigid, so the real prop swings more slowly.</p>
    ${
      drawn.length === 0
        ? null
        : markup`<input type="checkbox" id="hold-still"/><label for="hold-still"> hold the pictures still</label>
    <div class="modes">${drawn.map(modeFigure)}</div>`
    }
    ${notes}
  </section>`;
}
