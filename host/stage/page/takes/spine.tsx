/** The spine of the time line: the sound's wave, and under it the words of the marks. */
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { voice } from '../sound/voice.ts';
import { take } from '../state.ts';
import { waveOf } from './draw.ts';
import { Now, choose, wheel } from './lane.tsx';
import { Marks } from './marks.tsx';
import { Stretched } from './stretched.tsx';
import { span } from './view.ts';

const HIGH = 44;
/** The row of words under the wave, px. */
const WORDS = 16;

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

const isMarked = (): boolean => take.value.marks.length > 0;

export const Spine = (): JSX.Element => (
  <div class="spine">
    <Wave />
    <svg width="100%" height={isMarked() ? HIGH + WORDS : HIGH} onPointerDown={choose} onWheel={wheel}>
      <Stretched high={HIGH}>
        <Now high={HIGH} />
      </Stretched>
      {isMarked() && <Marks high={HIGH} under={HIGH + WORDS - 4} />}
    </svg>
    {!take.value.sound && <span class="hint">drop a sound here; K marks a beat or a word</span>}
  </div>
);
