/** Firmware for tests, each compiled once in a file of tests. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Firmware, type Places, compileBoard } from '../../host/firmware/compile.ts';

/** Whether programs are on this machine. */
export const has = (...programs: readonly string[]): boolean =>
  programs.every((program) => !spawnSync(program, ['--version']).error);

export const places = (): Places => ({
  boards: 'boards',
  wasm: 'build/controller.wasm',
  out: mkdtempSync(join(tmpdir(), 'posewright-firmware-')),
});

const made = new Map<string, Firmware>();

export function firmwareOf(board: string): Firmware {
  const firmware = made.get(board) ?? compileBoard(places(), board);
  made.set(board, firmware);
  return firmware;
}
