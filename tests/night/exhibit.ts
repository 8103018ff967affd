/**
 * What the simulated nights are played on: the demo's owl behind a barrier, on a battery that is watched, with three short shows, packed
 * as `shows pack` does it. Invented.
 */
import { readFileSync } from 'node:fs';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { readRig } from '../../host/rig/read.ts';
import type { Rig } from '../../host/rig/rig.ts';
import { writeNight } from '../../host/shows/night-file.ts';
import { type Packed, packShow } from '../../host/shows/pack.ts';
import { buildPlan } from '../../host/shows/plan.ts';
import { storeStream } from '../../host/stream/store.ts';
import { WASM } from '../assembly/prop.ts';
import { stream } from '../host/cli/fixture.ts';

/** Board pins of the night; 18 and 19 are lines of this machine's board. */
export const PIN = { light: 18, warn: 19, door: 26, foot: 22, button: 21, hoot: 27, stop: 20 } as const;
/** Inputs of the plan by their bits in Inputs.closed, lines by theirs in Outputs.lines. */
export const INPUT_OF = { door: 0, foot: 1, button: 2 } as const;
export const LINE_OF = { light: 1, warn: 2, hoot: 4 } as const;

/** How the shows start besides pins, and whether the owl lives between them. */
export type Variant = 'pins' | 'idle' | 'loop' | 'hot' | 'sensed';

const IDLE = `  idle:
    look: { yaw_deg: 4, pitch_deg: 2, ears_deg: 10 }
    breath: { z_mm: 1, nod_deg: 0.5 }
    lids: { lid: { open_deg: 45 } }
`;
const STARTS: Readonly<Record<Variant, string>> = {
  pins: '',
  idle: `${IDLE}  schedule:
    - { after_s: 60, show: gentle }
    - { after_s: 200, show: hoot }
    - { after_s: 120, show: nod }
`,
  loop: '  loop: true\n  pause_s: 15\n',
  hot: `${IDLE}  loop: true\n  pause_s: 1\n`,
  sensed: `  analog: { near: ${String(PIN.door)} }\n`,
};

/** Where the door's pin measures something, there is no door. */
const night = (variant: Variant): string => `night:
  light_pin: ${String(PIN.light)}
  warn_pin: ${String(PIN.warn)}
  button_pin: ${String(PIN.button)}
  cross_s: 1
  inputs:
${variant === 'sensed' ? '' : `    door: { pin: ${String(PIN.door)} }\n`}    foot: { pin: ${String(PIN.foot)}, kind: level, by: visitor }
  sounds: { hoot: ${String(PIN.hoot)} }
  shows:
    gentle: { start: foot }
    nod: ${variant === 'sensed' ? '{}' : '{ start: door }'}
    hoot: { sound: hoot, sound_ms: 300, sound_lead_ms: 120, sound_at_s: 1 }
${STARTS[variant]}`;

/** Names, seconds, and the columns of the shows, in the order of the night. */
const SHOWS: readonly (readonly [string, number, Parameters<typeof stream>[1]])[] = [
  ['gentle', 6, { yaw_deg: (t) => 4 * Math.sin(2 * t), ears_deg: (t) => 10 * Math.sin(3 * t) }],
  [
    'nod',
    8,
    { nod_deg: (t) => 6 * Math.sin(1.5 * t), z_mm: (t) => 2 * Math.sin(t), lid_deg: (t) => 30 + 20 * Math.sin(t) },
  ],
  ['hoot', 4, { jaw_deg: (t) => 8 - 8 * Math.cos(4 * t), pitch_deg: (t) => 3 * Math.sin(2 * t) }],
];
export const SHOW = { gentle: 0, nod: 1, hoot: 2 } as const;

export interface Exhibit {
  readonly rig: Rig;
  readonly image: Uint8Array;
  readonly night: Uint8Array<ArrayBuffer>;
  readonly shows: readonly Packed[];
  readonly variant: Variant;
  /** The controller: every board's, or one with responses. */
  readonly wasm: Uint8Array<ArrayBuffer>;
}

function rigOf(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

/**
 * @param hz ticks a second
 * @returns rig and night of a variant. The hot one is packed for neck servos that cannot hold the head
 * for long, and warm up in a minute: the image, which says nothing of torque, is the same.
 */
export async function exhibitOf(variant: Variant, hz = 200): Promise<Exhibit> {
  const demo = readFileSync('host/demo/night-owl.yaml', 'utf8')
    .replace('audience: bench ', 'audience: behind_barrier ')
    .replace(', power_pin: 21', '')
    .replace('tick_hz: 200', `tick_hz: ${String(hz)}`)
    .replace(
      '{ kind: mains, voltage_v: 6.0, current_a: 20 }',
      '{ kind: battery, voltage_v: 6.0, current_a: 20, low_v: 5.0, cells: 5, fuse_a: 15 }',
    );
  const rig = rigOf(demo + night(variant));
  const weak =
    variant === 'hot'
      ? rigOf(demo.replace('stall_torque_nm: 1.9 ', 'stall_torque_nm: 0.5\n    thermal_tau_s: 60') + night(variant))
      : rig;
  const image = packImage(rig);
  const shows: Packed[] = [];
  for (const [name, seconds, columns] of SHOWS) {
    const stored = await storeStream([new TextEncoder().encode(stream(seconds, columns))], rig);
    const made = packShow(weak, name, stored, null);
    if (typeof made === 'string') throw new Error(made);
    shows.push(made);
  }
  const fingerprint = imageFingerprint(image);
  const plan = buildPlan(
    weak,
    SHOWS.map(([name]) => name),
    fingerprint,
  );
  return {
    rig,
    image,
    variant,
    wasm: WASM,
    shows,
    night: writeNight({ fingerprint, plan: plan.bytes, shows: shows.map(({ show }) => show) }),
  };
}
