/** The place "Hand": the prop, large, to be taken hold of. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { Inputs } from '../input/inputs.tsx';
import { rig } from '../state.ts';
import { Controls } from './controls.tsx';
import { Flat } from './flat.tsx';
import { Help } from './help.tsx';
import { openStage } from './stage.ts';

export function Hand(): JSX.Element {
  const canvas = useRef<HTMLCanvasElement>(null);
  const svg = useRef<SVGSVGElement>(null);
  const isFlat = useSignal(false);
  useEffect(() => {
    if (!canvas.current || !svg.current || !rig.value) return;
    const stage = openStage(canvas.current, svg.current, rig.value);
    isFlat.value = stage.isFlat;
    return stage.close;
  }, []);
  return (
    <section aria-label="Hand" class="hand">
      <div class="room">
        <canvas ref={canvas} aria-hidden="true" hidden={isFlat.value} />
        <svg ref={svg} class="asked-lines" aria-hidden="true" />
        {isFlat.value && <Flat />}
        <Help />
      </div>
      <Controls />
      <Inputs />
    </section>
  );
}
