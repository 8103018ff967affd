/** Two fingers on the time line: apart shows less of it, together more, and it goes with them. */
import { scroll, span, timeAt, zoom } from './view.ts';

/** Fingers that are down, by pointer: where across the drawing, as a share of its width. */
const down = new Map<number, number>();

export const fingers = (): number => down.size;

function middleAndSpread(): readonly [number, number] {
  const [a = 0, b = 0] = [...down.values()];
  return [(a + b) / 2, Math.abs(a - b)];
}

/** Nearer than this two fingers say nothing of a spread, shares of the width. */
const NEAR = 0.01;

/** Follows a finger that has come down until it is lifted. */
export function pinch(event: PointerEvent, field: Element): void {
  if (event.pointerType !== 'touch') return;
  const box = field.getBoundingClientRect();
  const share = ({ clientX }: PointerEvent): number => (clientX - box.left) / box.width;
  const id = event.pointerId;
  down.set(id, share(event));
  const move = (moved: Event): void => {
    const finger = moved as PointerEvent;
    if (finger.pointerId !== id) return;
    const [was, before] = middleAndSpread();
    down.set(id, share(finger));
    if (down.size !== 2) return;
    const [is, after] = middleAndSpread();
    if (before > NEAR && after > NEAR) zoom(before / after, timeAt(is));
    scroll((was - is) * (span.value.to_s - span.value.from_s));
  };
  const end = (lifted: Event): void => {
    if ((lifted as PointerEvent).pointerId !== id) return;
    down.delete(id);
    field.removeEventListener('pointermove', move);
    for (const kind of ENDS) field.removeEventListener(kind, end);
  };
  field.addEventListener('pointermove', move);
  for (const kind of ENDS) field.addEventListener(kind, end);
}

const ENDS = ['pointerup', 'pointercancel'] as const;
