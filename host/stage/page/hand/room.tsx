/** The prop where it stands, to be taken hold of: the picture alone, for every place that shows it. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { rig } from '../state.ts';
import { Flat } from './flat.tsx';
import { openStage } from './stage.ts';

/** @param keys whether the keys of the hand are heard here */
export function Room({ keys }: { readonly keys: boolean }): JSX.Element {
  const canvas = useRef<HTMLCanvasElement>(null);
  const svg = useRef<SVGSVGElement>(null);
  const isFlat = useSignal(false);
  useEffect(() => {
    if (!canvas.current || !svg.current || !rig.value) return;
    const stage = openStage(canvas.current, svg.current, rig.value, keys);
    isFlat.value = stage.isFlat;
    return stage.close;
  }, [keys]);
  return (
    <div class="room prop">
      <canvas ref={canvas} aria-hidden="true" hidden={isFlat.value} />
      <svg ref={svg} class="asked-lines" aria-hidden="true" />
      {isFlat.value && <Flat />}
    </div>
  );
}
