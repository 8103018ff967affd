/** Rigs and streams for the tests of retiming, invented. */
import { readFileSync } from 'node:fs';
import { type RetimeOptions, type Retimed, retime } from '../../../host/retime/retime.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';

export function rigOf(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

/** One joint, `tail`, in degrees. */
export const tailRig = (speed: number, plus: number, minus: number, tick_hz = 200, gone = ''): Rig =>
  rigOf(`rig: tail
servos:
  s: { stall_torque_nm: 1, no_load_speed_deg_s: 9000, frame_hz: 50, us_per_deg: 1, range_us: [600, 2400], centre_us: 1500 }
joints:
  tail: { servo: s, pin: 2, limit_deg: [-400, 400], speed_deg_s: ${String(speed)}, accel_deg_s2: { plus: ${String(plus)}, minus: ${String(minus)} }${gone} }
motion: { tick_hz: ${String(tick_hz)} }
rest: on_stop
audience: bench
`);

export const demo = (): Rig => rigOf(readFileSync('host/demo/night-owl.yaml', 'utf8'));

/** A stream of the given columns, functions of time. */
export function csv(
  seconds: number,
  hz: number,
  columns: Readonly<Record<string, (t_s: number) => number>>,
): Uint8Array[] {
  const names = Object.keys(columns);
  const rows = Array.from({ length: Math.round(seconds * hz) + 1 }, (_, k) =>
    [k / hz, ...names.map((name) => columns[name]!(k / hz))].map((value) => value.toFixed(7)).join(','),
  );
  return [new TextEncoder().encode([['t_s', ...names].join(','), ...rows, ''].join('\n'))];
}

const PLAIN: RetimeOptions = { fit: false, kept_s: [], name: 'test' };

/** Retimes what can be retimed. */
export async function retimed(
  rig: Rig,
  source: Uint8Array[] | string,
  options: Partial<RetimeOptions> = {},
): Promise<Retimed> {
  const done = await retime(rig, typeof source === 'string' ? [readFileSync(source)] : source, {
    ...PLAIN,
    ...options,
  });
  if ('stops' in done) throw new Error(`out of reach: ${JSON.stringify(done.stops)}`);
  return done;
}
