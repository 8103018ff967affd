/** Whether a rig is for a board, as `flash` and `send` ask: both by the same function. */
import { describe, expect, it } from 'vitest';
import { misfits, misfitsAt, misfitsOf } from '../../../host/cli/misfits.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { Target } from '../../../host/replay/target.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { OWL } from './fixture.ts';

const BATTERY = 'supply: { kind: battery, voltage_v: 7.4, cells: 2, low_v: 6.4, fuse_a: 10 }\n';
/** As host/rig/boards.ts numbers it. */
const NATIVE = 3;
const rigOf = (more = ''): Rig => {
  const { rig, problems } = readRig(OWL + more);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
};
const told = (problems: ReturnType<typeof misfits>): string[] =>
  problems.map(({ severity, path, message }) => `${severity} ${path}: ${message}`);

describe('a rig and a board', () => {
  it('that are for each other', () => {
    expect(misfits(rigOf(), 'pico', 'owl.yaml', 'firmware for pico')).toEqual([]);
    expect(misfits(rigOf('board: { kind: f405 }\n'), 'f405', 'owl.yaml', 'firmware for f405')).toEqual([]);
  });

  it('that are not', () => {
    expect(told(misfits(rigOf('board: { kind: pico }\n'), 'f405', 'owl.yaml', 'firmware for f405'))).toEqual([
      'error : board.kind: the rig is for pico, and this is firmware for f405; if the prop has another board now, change board.kind. Nothing was written',
    ]);
    expect(told(misfits(rigOf('board: { kind: pico, stop: { pin: 28 } }\n'), 'pico', 'owl.yaml', ''))).toEqual([
      'error board.stop.pin: found 28; a pico has pins 18 to 22 and 26 to 27 for it: the stop input would do nothing',
    ]);
  });

  it('that cannot watch its battery: a warning, once', () => {
    expect(misfits(rigOf(BATTERY), 'pico', 'owl.yaml', '')).toEqual([]);
    expect(told(misfits(rigOf(BATTERY), 'f405', 'owl.yaml', ''))).toEqual([
      'warning supply.low_v: found 6.4, but the board f405 cannot measure its supply: nothing settles the prop when it runs low',
    ]);
    // Reading the rig has said so.
    expect(misfits(rigOf(`${BATTERY}board: { kind: f405 }\n`), 'f405', 'owl.yaml', '')).toEqual([]);
  });

  it('that is none, but this computer: a trial of any rig, with a word', () => {
    const made = (name: string, proven: Target['proven']): Target => ({
      name,
      proven,
      clock: '',
      open: () => Promise.reject(new Error('nobody opens it')),
    });
    const pico = rigOf('board: { kind: pico }\n');
    const at = (name: string, proven: Target['proven'], number: number): string[] =>
      told(misfitsAt(pico, number, 'owl.yaml', made(name, proven)));
    expect(at('native', 'computer', NATIVE)).toEqual([
      expect.stringMatching(/^warning board\.kind: the rig is for pico, and native is a program on this computer/),
    ]);
    // Somebody has started it, and it may be a stand-in for a board that is to have a rig of its own.
    expect(at('serial:/dev/pts/1', 'computer', NATIVE)).toEqual([expect.stringMatching(/^error : board\.kind/)]);
    expect(at('emulated:f405', 'emulator', 2)).toEqual([expect.stringMatching(/^error : board\.kind/)]);
    expect(at('emulated:pico', 'emulator', 1)).toEqual([]);
    expect(at('sim', 'simulation', 0)).toEqual([]);
  });

  it('that is known by the number with which it answers', () => {
    expect(told(misfitsOf(rigOf('board: { kind: pico }\n'), 2, 'owl.yaml', 'the board'))).toEqual([
      expect.stringMatching(/^error : board\.kind: the rig is for pico, and this is the board, a f405;/),
    ]);
    expect(told(misfitsOf(rigOf(), 77, 'owl.yaml', 'the board'))).toEqual([
      'warning : the board is of an unknown kind (77): whether it has the pins of this rig was not checked',
    ]);
  });
});
