/** Brings the picture and what moves it to life while the place is seen: the loop of frames, pointers, keys, sizes, colours. */
import { effect } from '@preact/signals';
import type { Pose, Rig } from '../../../rig/rig.ts';
import { askedOfBoard } from '../board/asked.ts';
import { boardSentence } from '../board/words.ts';
import type { Look } from '../engine/protocol.ts';
import { turned, zoomed } from '../prop/orbit.ts';
import { fetchMeshes } from '../prop/part-meshes.ts';
import type { Stance } from '../prop/scene.ts';
import { skinFrom } from '../prop/skin.ts';
import { PropView } from '../prop/view.ts';
import { boardSays, boardStance, drawn as watched, drives, handValues, look, lookAt_ms, said } from '../state.ts';
import { Drag } from './drag.ts';
import { follow, lookPoint, showsRange } from './asking.ts';
import { type Eye, keyHandler } from './keys.ts';
import { Peaks } from './peaks.ts';
import { sentence } from './words.ts';

const skin = (): ReturnType<typeof skinFrom> => {
  const style = getComputedStyle(document.documentElement);
  return skinFrom((name) => style.getPropertyValue(name));
};

/** As the controller's last look has it. */
export const deliveredOf = ({ metal, metalPose, pose }: Look): Stance => ({
  coordinates: metal,
  pose: (metalPose ?? pose) as Pose | null,
});

/** What is asked: by the hand at once, by a take as it plays. */
export function askedOf(rig: Rig, seen: Look, hand: Float64Array | null): Stance | null {
  const legs = rig.platform ? 6 : 0;
  const values = seen.follows === 'take' ? seen.asked : hand;
  if (!values || !Number.isFinite(values[0]) || seen.state === 'limp' || seen.state === 'settling') return null;
  const coordinates = [...Array.from({ length: legs }, () => NaN), ...values.subarray(6)];
  return { coordinates, pose: [...values.subarray(0, 6)] as unknown as Pose };
}

interface Stage {
  /** No WebGL: another picture must do. */
  readonly isFlat: boolean;
  readonly close: () => void;
}

/** The view; null: this browser has no WebGL. */
function viewOn(canvas: HTMLCanvasElement, svg: SVGSVGElement, rig: Rig): PropView | null {
  try {
    return new PropView(canvas, svg, rig, skin());
  } catch {
    return null;
  }
}

/** @param keys whether the hand's keys are heard */
export function openStage(canvas: HTMLCanvasElement, svg: SVGSVGElement, rig: Rig, keys: boolean): Stage {
  const closing: (() => void)[] = [];
  const on = (target: EventTarget, kind: string, act: (event: never) => void, passive = true): void => {
    target.addEventListener(kind, act as EventListener, { passive });
    closing.push(() => target.removeEventListener(kind, act as EventListener));
  };
  const view = viewOn(canvas, svg, rig);
  const peaks = new Peaks(rig.joints.length);
  let isStale = true;
  let drawn: Look | null = null;
  let drawnUse = new Float64Array();
  let told: Stance | null = null;
  const redraw = (): void => void (isStale = true);

  closing.push(
    effect(() => {
      const seen = look.value;
      if (!seen) return;
      peaks.push(seen.use);
      tell(rig, seen, peaks);
      if (drawn && !isChanged(drawn, seen) && !differ(drawnUse, peaks.most)) return;
      [drawn, drawnUse] = [seen, peaks.most.slice()];
      redraw();
    }),
    ...[handValues, lookPoint, showsRange].map((one) => one.subscribe(redraw)),
    boardStance.subscribe((now) => {
      const isSame = now && told && !differ(now.coordinates, told.coordinates);
      if (isSame || now === told) return;
      told = now;
      redraw();
    }),
  );
  if (keys) on(window, 'keydown', keyHandler(eyeOn(view, redraw)), false);
  if (view) watch(view, canvas, rig, on, redraw, closing);

  let hasMeshes = false;
  const meshes = (on: PropView): void => {
    hasMeshes = true;
    void fetchMeshes(rig, (file, mesh) => {
      on.showMesh(file, mesh);
      redraw();
    });
  };
  let last_ms: number | null = null;
  const frame = (now_ms: number): void => {
    follow(Math.min(0.1, (now_ms - (last_ms ?? now_ms)) / 1000));
    last_ms = now_ms;
    const film = watched.peek();
    if ((isStale || film) && view && look.value) {
      draw(view, rig, look.value, peaks);
      film?.(canvas);
    }
    isStale = false;
    // After the first picture.
    if (view && look.value && !hasMeshes) meshes(view);
    handle = requestAnimationFrame(frame);
  };
  let handle = requestAnimationFrame(frame);
  closing.push(
    () => cancelAnimationFrame(handle),
    () => view?.dispose(),
  );
  return { isFlat: view === null, close: () => closing.forEach((act) => act()) };
}

/** What an act has to say stands at least this long before it is said again what is so, ms. */
const STANDS_MS = 2500;
let lastWords = '';
let others = { words: '', since_ms: -STANDS_MS };

/** Of a board that has pulses or warns that it will, and else of the simulation. Where both follow this page's hand, what stops it stops both. */
function wordsOf(rig: Rig, seen: Look, peaks: Peaks): string {
  const board = boardSays.peek();
  const says = boardStance.peek() || warns() ? board : null;
  if (!says) return sentence(rig, seen, peaks.most);
  const isOwnHand = drives.peek() === true && says.state === 'live' && says.follows === 'hand';
  return isOwnHand ? `the board: ${sentence(rig, seen, peaks.most)}` : boardSentence(says, drives.peek() === true);
}

const warns = (): boolean => typeof boardSays.peek()?.moves_in_s === 'number';

/** Says what is so, once: what others say stands until something else is so, and long enough to be read; a stop, and a warning, are said at once. */
function tell(rig: Rig, seen: Look, peaks: Peaks): void {
  const now_ms = lookAt_ms.peek();
  const standing = said.peek();
  if (standing !== lastWords && standing !== others.words) others = { words: standing, since_ms: now_ms };
  const words = wordsOf(rig, seen, peaks);
  const isRead = standing !== others.words || now_ms - others.since_ms > STANDS_MS;
  if (words !== lastWords && (isRead || warns() || seen.trip !== null || seen.fallen !== null))
    said.value = lastWords = words;
}

/** Less than this nobody sees: rad, mm, a share of torque. */
const SEEN = 2e-4;

const differ = (a: ArrayLike<number> | null, b: ArrayLike<number> | null): boolean =>
  a === null || b === null ? a !== b : Array.from(a).some((at, i) => Math.abs(at - b[i]!) > SEEN);

/** Whether it stands otherwise, but for its use. */
const isChanged = (was: Look, now: Look): boolean =>
  was.state !== now.state ||
  was.follows !== now.follows ||
  was.stoppedBy?.joint !== now.stoppedBy?.joint ||
  differ(was.metal, now.metal) ||
  differ(was.metalPose, now.metalPose) ||
  differ(was.asked, now.asked);

function draw(view: PropView, rig: Rig, seen: Look, peaks: Peaks): void {
  // A board that has pulses is what is seen. What its servos use, it does not tell.
  const board = boardStance.peek();
  const isElsewhere = board !== null && boardSays.peek()?.follows !== 'hand';
  view.draw({
    delivered: board ?? deliveredOf(seen),
    asked:
      (board && askedOfBoard(rig)) ?? (board && drives.peek() !== true ? null : askedOf(rig, seen, handValues.value)),
    use: isElsewhere ? peaks.most.map(() => NaN) : peaks.most,
    stopped: seen.stoppedBy?.joint ?? null,
    point_mm: lookPoint.value,
    showsRange: showsRange.value,
  });
}

const eyeOn = (view: PropView | null, redraw: () => void): Eye => {
  const change = (act: (view: PropView) => void): void => {
    if (view) act(view);
    redraw();
  };
  return {
    turn: (azimuth, elevation) => change((on) => (on.orbit = turned(on.orbit, azimuth, elevation))),
    zoom: (times) => change((on) => (on.orbit = zoomed(on.orbit, times, on.nearest_mm))),
    home: () => change((on) => (on.orbit = on.home)),
  };
};

type On = (target: EventTarget, kind: string, act: (event: never) => void, passive?: boolean) => void;

/** Pointers, the wheel, the picture's size and the page's colours. */
function watch(
  view: PropView,
  canvas: HTMLCanvasElement,
  rig: Rig,
  on: On,
  redraw: () => void,
  closing: (() => void)[],
): void {
  const drag = new Drag(view, rig, redraw);
  on(canvas, 'pointerdown', (event: PointerEvent) => drag.begin(event));
  on(canvas, 'pointermove', (event: PointerEvent) => {
    canvas.dataset['hold'] = drag.hover(event);
    drag.move(event);
  });
  for (const kind of ['pointerup', 'pointercancel']) on(canvas, kind, (event: PointerEvent) => drag.end(event));
  const zoom = (event: WheelEvent): void => {
    event.preventDefault();
    view.orbit = zoomed(view.orbit, Math.exp(event.deltaY * 0.001), view.nearest_mm);
    redraw();
  };
  on(canvas, 'wheel', zoom, false);
  on(matchMedia('(prefers-color-scheme: dark)'), 'change', () => {
    view.paint(skin());
    redraw();
  });
  const sizes = new ResizeObserver(() => {
    const { width, height } = canvas.parentElement!.getBoundingClientRect();
    view.resize(width, height);
    redraw();
  });
  sizes.observe(canvas.parentElement!);
  closing.push(() => sizes.disconnect());
}
