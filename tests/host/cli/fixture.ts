/** Runs commands in this process, with everything they would print caught, in a folder of their own. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Io, Writer } from '../../../host/cli/io.ts';
import { runCli } from '../../../host/cli/main.ts';

const root = fileURLToPath(new URL('../../..', import.meta.url));

/** The controller, when this is a fresh checkout. */
export function needController(): void {
  if (existsSync(join(root, 'build/controller.wasm'))) return;
  const asc = ['node_modules/assemblyscript/bin/asc.js', 'assembly/index.ts', '--target', 'controller'];
  execFileSync(process.execPath, asc, { cwd: root });
}

/** An owl's head, invented: six cranks on a tilting axis, an eyelid. */
export const OWL = `rig: test-owl
platform:
  drive: crank
  on: nod
  mount: { at_mm: [30, 0, 55], rpy_deg: [0, 90, 0] }
  base: { radius_mm: 70, half_angle_deg: 14 }
  moving: { radius_mm: 55, half_angle_deg: 46 }
  crank_mm: 22
  rod_mm: 120
  crank_azimuth_deg: outward
  rod_end_deg: 28
  home_z_mm: level
  rest: { z_mm: -4 }
  servo: neck
  limit_deg: [-60, 60]
parts:
  - { name: shell, on: moving, mass_kg: 0.62, at_mm: [0, 0, 38] }
  - { name: beak, on: moving, mass_kg: 0.11, at_mm: [0, 0, 70] }
  - { name: frame, on: nod, mass_kg: unknown, at_mm: [60, 0, 40] }
servos:
  neck:
    stall_torque_nm: 1.9
    no_load_speed_deg_s: 380
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 10
    range_us: [600, 2400]
    rotor_inertia_kgm2: { value: 2.9e-3, from: assumed }
    stiffness_nm_rad: unknown
joints:
  leg1: { pin: 2 }
  leg2: { pin: 3 }
  leg3: { pin: 4 }
  leg4: { pin: 5 }
  leg5: { pin: 6 }
  leg6: { pin: 7 }
  nod:
    servo: neck
    pin: 8
    axis: { at_mm: [0, 0, 0], along: [0, -1, 0] }
    gear_ratio: 3
    gear_efficiency: 0.9
    limit_deg: [-28, 25]
    rest_deg: -20
    speed_deg_s: 70
    accel_deg_s2: { plus: 600, minus: 600 }
  lid: { servo: neck, pin: 9, limit_deg: [0, 55], speed_deg_s: 300, accel_deg_s2: 4000 }
motion:
  tick_hz: 200
  playback_delay_ms: 80
  pose_speed: { x_mm_s: 60, yaw_deg_s: 90 }
  leg: { speed_deg_s: 220, accel_deg_s2: { plus: 1500, minus: 2200 } }
rest: on_stop
audience: bench
`;

/** A stream at 50 frames a second; columns are functions of time. */
export function stream(seconds: number, columns: Readonly<Record<string, (t_s: number) => number>>): string {
  const names = Object.keys(columns);
  const rows = Array.from({ length: Math.round(seconds * 50) + 1 }, (_, k) => {
    const cells = names.map((name) => columns[name]?.(k / 50).toFixed(4));
    return [(k / 50).toFixed(2), ...cells].join(',');
  });
  return [['t_s', ...names].join(','), ...rows, ''].join('\n');
}

const swing = (size: number, hz: number) => (t_s: number) => (size * (1 - Math.cos(2 * Math.PI * hz * t_s))) / 2;

/** Well within the owl's limits. */
export const GENTLE = stream(2, { yaw_deg: swing(6, 0.5), z_mm: swing(3, 0.5), nod_deg: swing(-8, 0.5) });
/** A nod that jumps 15 deg in a frame, which 600 deg/s² cannot follow. */
export const JERKY = stream(2, { nod_deg: (t_s) => (t_s < 1 ? 0 : -15) });
/** Further out than any rod reaches. */
export const FAR = stream(2, { z_mm: swing(90, 0.5) });

export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

export interface Setting {
  readonly stdin?: string;
  readonly tty?: boolean;
  readonly env?: Readonly<Record<string, string>>;
  readonly stdout?: Writer;
  /** Instead of the real clock, and of a terminal's Ctrl-C, which nobody presses. */
  readonly now?: Io['now'];
  readonly onInterrupt?: Io['onInterrupt'];
}

/** Runs one command line. */
export async function run(
  argv: readonly string[],
  {
    stdin = '',
    tty = false,
    env = {},
    stdout,
    now = () => performance.now(),
    onInterrupt = () => undefined,
  }: Setting = {},
): Promise<Ran> {
  let out = '';
  let err = '';
  const caught = (add: (text: string) => void): Writer => ({
    write: add,
    ...(tty ? { isTTY: true, columns: 100 } : {}),
  });
  const io: Io = {
    stdout: stdout ?? caught((text) => (out += text)),
    stderr: caught((text) => (err += text)),
    stdin: (async function* () {
      await Promise.resolve();
      if (stdin !== '') yield new TextEncoder().encode(stdin);
    })(),
    env,
    now,
    onInterrupt,
  };
  const code = await runCli(argv, io);
  return { code, out, err };
}

/** A folder with files in it, gone when the test file ends. */
export function scratch(): {
  readonly path: (name: string) => string;
  readonly put: (name: string, text: string) => string;
  readonly remove: () => void;
} {
  const folder = mkdtempSync(join(tmpdir(), 'posewright-cli-'));
  const path = (name: string): string => join(folder, name);
  return {
    path,
    put: (name, text) => {
      writeFileSync(path(name), text);
      return path(name);
    },
    remove: () => {
      rmSync(folder, { recursive: true });
    },
  };
}
