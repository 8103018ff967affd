/** The open lane: what is asked (dashed) and what is delivered (solid), the gaps between them, the chosen stretch, the keys. */
import type { JSX } from 'preact';
import { keysWith } from '../../take/edit.ts';
import { curveOf } from '../../take/take.ts';
import { scrub } from '../sound/voice.ts';
import { boardCourse, boardDelivered, cursor_s, delivered, take } from '../state.ts';
import { addKey } from './commands.ts';
import { type Scale, curvePath, pointsPath, samplesPath, scaleOf, valueOf, yOf } from './draw.ts';
import { GapFills, GapWords, Hatches } from './gaps.tsx';
import { Keys, dragged } from './keys.tsx';
import { fingers, pinch } from './pinch.ts';
import { Stretched } from './stretched.tsx';
import {
  WIDE,
  activeColumn,
  chosen,
  column,
  frame,
  goTo,
  lane,
  plain,
  scroll,
  span,
  timeAt,
  unitOf,
  xOf,
  zoom,
} from './view.ts';

const HIGH = 120;

const shareOf = (event: MouseEvent): number => {
  const box = (event.currentTarget as Element).getBoundingClientRect();
  return (event.clientX - box.left) / box.width;
};

/** A press puts the cursor there, a drag chooses a stretch. */
export function choose(event: PointerEvent): void {
  const field = event.currentTarget as Element;
  const box = field.getBoundingClientRect();
  const from_s = frame(timeAt(shareOf(event)));
  pinch(event, field);
  chosen.value = null;
  if (fingers() > 1) return;
  goTo(from_s);
  scrub(from_s);
  field.setPointerCapture(event.pointerId);
  const move = (moved: Event): void => {
    if (fingers() > 1) return;
    const to_s = frame(timeAt(((moved as PointerEvent).clientX - box.left) / box.width));
    chosen.value = to_s === from_s ? null : { from_s: Math.min(from_s, to_s), to_s: Math.max(from_s, to_s) };
    scrub(to_s);
  };
  field.addEventListener('pointermove', move);
  field.addEventListener('pointerup', () => field.removeEventListener('pointermove', move), { once: true });
}

/** The wheel and a pinch zoom about the finger; sideways, or with Shift, it scrolls. */
export function wheel(event: WheelEvent): void {
  event.preventDefault();
  const long_s = span.value.to_s - span.value.from_s;
  const sideways = event.shiftKey ? event.deltaY : event.deltaX;
  if (Math.abs(sideways) > Math.abs(event.shiftKey ? 0 : event.deltaY)) scroll((sideways / 800) * long_s);
  else zoom(Math.exp(event.deltaY / 400), timeAt(shareOf(event)));
}

/** The cursor, over the whole time line: a layer of its own, so that nothing is drawn anew as it goes. */
export const Cursor = (): JSX.Element => (
  <div
    class="cursor"
    aria-hidden="true"
    style={{ transform: `translateX(${String(xOf(cursor_s.value) / (WIDE / 100))}%)` }}
  />
);

/** The chosen stretch, over any of the time line's drawings. */
export const Now = ({ high }: { readonly high: number }): JSX.Element => (
  <>
    {chosen.value && (
      <rect
        class="chosen"
        x={xOf(chosen.value.from_s)}
        width={xOf(chosen.value.to_s) - xOf(chosen.value.from_s)}
        height={high}
      />
    )}
  </>
);

function Curves({ scale }: { readonly scale: Scale }): JSX.Element {
  const columns = lane.value?.columns ?? [];
  return (
    <Stretched high={HIGH}>
      <Hatches />
      <GapFills scale={scale} />
      {columns.map((name) => {
        const keys = curveOf(take.value, name)?.keys ?? [];
        const moved =
          dragged.value && name === column.value ? keysWith(keys, dragged.value.key, dragged.value.from_s) : keys;
        const done = delivered.value?.get(name);
        const state = name === column.value ? 'open' : 'beside';
        return (
          <g key={name} class={state}>
            {done && <path class="delivered" d={samplesPath(done, span.value, scale)} />}
            <path class="asked" d={curvePath(moved, span.value, scale)} />
          </g>
        );
      })}
      <Now high={HIGH} />
    </Stretched>
  );
}

/** What the board has delivered of this take, by its telemetry, over what was asked: a layer of its own, for it grows as it plays. */
function BoardCurves({ scale }: { readonly scale: Scale }): JSX.Element | null {
  const board = boardDelivered.value;
  // Read, so that it is drawn anew as the course grows.
  const drawings = boardCourse.value;
  if (!board || drawings === 0 || board.count === 0 || board.take !== `${take.value.name}.csv`) return null;
  const { from_s, to_s } = span.value;
  const courses = (lane.value?.columns ?? []).map((name) => ({ name, course: board.course(name, from_s, to_s) }));
  const [end_s, end] = courses.find(({ name }) => name === column.value)?.course.at(-1) ?? [NaN, NaN];
  return (
    <>
      <Stretched high={HIGH}>
        {courses.map(({ name, course }) => (
          <g key={name} class={name === column.value ? 'open' : 'beside'}>
            <path class="board" d={pointsPath(course, span.value, scale)} />
          </g>
        ))}
      </Stretched>
      {!Number.isNaN(end) && (
        <text
          class="hint board-name"
          x={`${String(Math.min(95, xOf(end_s) / (WIDE / 100)))}%`}
          y={Math.min(HIGH - 4, Math.max(12, yOf(end, scale) - 6))}
        >
          board
        </text>
      )}
    </>
  );
}

/** Which of the lane's columns has its keys shown; in words, above the curves. */
const Columns = (): JSX.Element => (
  <p class="columns">
    <strong>{lane.value?.name}</strong>
    {(lane.value?.columns ?? []).map((name) => (
      <button key={name} type="button" aria-pressed={name === column.value} onClick={() => (activeColumn.value = name)}>
        {plain(name)}
      </button>
    ))}
  </p>
);

export function OpenLane(): JSX.Element {
  const columns = lane.value?.columns ?? [];
  const values = columns.flatMap((name) => [
    ...(curveOf(take.value, name)?.keys.map(({ value }) => value) ?? []),
    ...(delivered.value?.get(name) ?? []),
  ]);
  const scale = scaleOf(values, HIGH);
  const unit = unitOf(column.value ?? '');
  const isEmpty = values.length === 0;
  return (
    <div class="open-lane">
      <Columns />
      <GapWords />
      <svg
        width="100%"
        height={HIGH}
        onPointerDown={choose}
        onWheel={wheel}
        onDblClick={(event) => addKey(timeAt(shareOf(event)), valueOf(event.offsetY, scale))}
      >
        <Curves scale={scale} />
        <BoardCurves scale={scale} />
        <text class="hint" x="4" y="12">{`${scale.most.toFixed(0)} ${unit}`}</text>
        <text class="hint" x="4" y={HIGH - 4}>{`${scale.least.toFixed(0)} ${unit}`}</text>
        {isEmpty && (
          <text class="hint" x="50%" y="50%" text-anchor="middle">
            nothing here yet: R records, Enter sets a key
          </text>
        )}
        <Keys scale={scale} />
      </svg>
    </div>
  );
}
