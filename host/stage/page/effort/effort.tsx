/** Effort: what the take costs its servos over time, how warm they get, what the supply gives. */
import type { JSX } from 'preact';
import { useSteps } from '../../../report/draw/use-charts.ts';
import { answers, cursor_s, judging, loads, said, take } from '../state.ts';
import { FourQuestions } from '../verdict/four-questions.tsx';
import { type Strip, stripsOf, topOf } from './strips.ts';

export function Effort(): JSX.Element {
  const strips = stripsOf(loads.value);
  const top = topOf(strips);
  const power = answers.value[2];
  return (
    <div class="effort">
      <h1>Effort</h1>
      <FourQuestions />
      {strips.length === 0 ? (
        <p>{judging.value ? 'The take is being judged.' : 'The take asks nothing of a servo yet.'}</p>
      ) : (
        <>
          <p class="lead">
            Share of its torque that each servo needs; hatched: more than it has. Dashed: what it may give for long.
            Press a strip to look at its hardest instant.
          </p>
          <ul class="strips">
            {strips.map((strip) => (
              <EffortStrip key={strip.name} strip={strip} top={top} />
            ))}
          </ul>
          <Axis />
        </>
      )}
      {power && (
        <section aria-labelledby="supply-title">
          <h2 id="supply-title">Supply</h2>
          <p>{power.because}</p>
        </section>
      )}
    </div>
  );
}

/** Of a strip's picture; it is stretched to the width there is. */
const [WIDTH, HEIGHT] = [1000, 64];

function EffortStrip({ strip, top }: { readonly strip: Strip; readonly top: number }): JSX.Element {
  const seconds = Math.max(take.value.seconds, 1e-3);
  const x = (s: number): number => (s / seconds) * WIDTH;
  const y = (use: number): number => HEIGHT * (1 - Math.min(use, top) / top);
  const step = (n: number): number => (n * WIDTH) / strip.uses.length;
  const look = (): void => {
    cursor_s.value = strip.at_s;
    said.value = `looking at ${strip.at_s.toFixed(2)} s`;
  };
  const hatch = `short-${strip.name}`;
  const level = (use: number): string => `M0 ${String(y(use))}H${String(WIDTH)}`;
  const upright = (s: number): string => `M${String(x(s))} 0V${String(HEIGHT)}`;
  return (
    <li>
      <button type="button" onClick={look}>
        <span class="strip-words">
          <strong>{strip.name}</strong> {strip.words}
        </span>
        <svg viewBox={`0 0 ${String(WIDTH)} ${String(HEIGHT)}`} preserveAspectRatio="none" aria-hidden="true">
          <defs>
            <pattern id={hatch} width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
              <rect class="hatch" width="3" height="7" />
            </pattern>
          </defs>
          <path class="needed" d={useSteps(strip.uses, step, y, 0)} />
          <path fill={`url(#${hatch})`} d={useSteps(strip.uses, step, y, 1)} />
          <path class="all-of-it" d={level(1)} />
          <path class="for-long" d={level(strip.continuous_use)} />
          <path class="zero" d={level(0)} />
          <path class="hottest" d={upright(strip.at_s)} />
          <path class="cursor" d={upright(cursor_s.value)} />
        </svg>
      </button>
    </li>
  );
}

/** The time that the strips share. */
function Axis(): JSX.Element {
  const { seconds } = take.value;
  const parts = [0, 0.25, 0.5, 0.75, 1];
  return (
    <p class="strip-axis" aria-hidden="true">
      {parts.map((part) => (
        <span key={part}>{(part * seconds).toFixed(seconds < 20 ? 1 : 0)} s</span>
      ))}
    </p>
  );
}
