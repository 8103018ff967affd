/** The spine of the time line: the sound's wave, and the marks, which can be dragged and named. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Mark } from '../../take/take.ts';
import { voice } from '../sound/voice.ts';
import { change, cursor_s, take } from '../state.ts';
import { waveOf } from './draw.ts';
import { Now, choose, wheel } from './lane.tsx';
import { Stretched } from './stretched.tsx';
import { WIDE, frame, seconds, span, timeAt, xOf } from './view.ts';

const HIGH = 44;

/** The wave on a canvas, as wide as it is shown. */
function Wave(): JSX.Element {
  const ref = useRef<HTMLCanvasElement>(null);
  const [heard, shown, at_s] = [voice.value, span.value, take.value.sound?.at_s ?? 0];
  useEffect(() => {
    const canvas = ref.current;
    const pen = canvas?.getContext('2d');
    if (!canvas || !pen) return;
    canvas.width = canvas.clientWidth;
    canvas.height = HIGH;
    if (!heard) return;
    pen.fillStyle = getComputedStyle(canvas).color;
    const wave = waveOf(heard.audio, heard.buffer.sampleRate, at_s, shown, canvas.width);
    const middle = HIGH / 2;
    for (let x = 0; x < canvas.width; x++) {
      const top = middle - wave[2 * x + 1]! * middle;
      pen.fillRect(x, top, 1, Math.max(1, middle - wave[2 * x]! * middle - top));
    }
  }, [heard, shown, at_s]);
  return <canvas ref={ref} class="wave" aria-hidden="true" height={HIGH} />;
}

function moveMark(from: Mark, t_s: number): void {
  const marks = take.value.marks.map((mark) => (mark === from ? { ...mark, t_s: Math.max(0, frame(t_s)) } : mark));
  change({ kind: 'marks', marks }, `move the mark ${from.name}`);
}

function onKey(event: KeyboardEvent, mark: Mark): void {
  const by_s = (event.shiftKey ? 10 : 1) / 50;
  if (event.key === 'ArrowLeft') moveMark(mark, mark.t_s - by_s);
  else if (event.key === 'ArrowRight') moveMark(mark, mark.t_s + by_s);
  else if (event.key === 'Delete')
    change(
      { kind: 'marks', marks: take.value.marks.filter((other) => other !== mark) },
      `take out the mark ${mark.name}`,
    );
  else return;
  event.preventDefault();
  event.stopPropagation();
}

function dragMark(event: PointerEvent, mark: Mark): void {
  event.stopPropagation();
  const flag = event.currentTarget as SVGElement;
  const box = flag.ownerSVGElement!.getBoundingClientRect();
  flag.setPointerCapture(event.pointerId);
  flag.addEventListener(
    'pointerup',
    ({ clientX }) => {
      if (Math.abs(clientX - event.clientX) > 3) moveMark(mark, timeAt((clientX - box.left) / box.width));
      else cursor_s.value = mark.t_s;
    },
    { once: true },
  );
}

/** Words under the wave. */
const Marks = (): JSX.Element => (
  <g role="group" aria-label="marks">
    {take.value.marks
      .filter(({ t_s }) => t_s >= span.value.from_s && t_s <= span.value.to_s)
      .map((mark, n) => (
        <g
          key={n}
          class="mark"
          role="slider"
          tabindex={0}
          aria-label={`mark ${mark.name}`}
          aria-valuenow={mark.t_s}
          aria-valuetext={seconds(mark.t_s)}
          onKeyDown={(event) => onKey(event, mark)}
          onPointerDown={(event) => dragMark(event, mark)}
        >
          <line
            x1={`${String((xOf(mark.t_s) / WIDE) * 100)}%`}
            x2={`${String((xOf(mark.t_s) / WIDE) * 100)}%`}
            y2={HIGH}
          />
          <text x={`${String((xOf(mark.t_s) / WIDE) * 100)}%`} dx="4" y={HIGH - 5}>
            {mark.name}
          </text>
        </g>
      ))}
  </g>
);

export const Spine = (): JSX.Element => (
  <div class="spine">
    <Wave />
    <svg width="100%" height={HIGH} onPointerDown={choose} onWheel={wheel}>
      <Stretched high={HIGH}>
        <Now high={HIGH} />
      </Stretched>
      <Marks />
    </svg>
    {!take.value.sound && <span class="hint">drop a sound here; K marks a beat</span>}
  </div>
);
