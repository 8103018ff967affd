/** Flashing: what lies on the drive is firmware and rig, boots with the rig in force, and nothing goes to a drive of another board. */
import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { type BoardFile, FirmwareError, readBoard } from '../../host/firmware/compile.ts';
import { NotWritten, flashFile, placeFile, placeOf } from '../../host/firmware/place.ts';
import { Conversation } from '../../host/replay/conversation.ts';
import { elfSymbols } from '../../host/targets/elf.ts';
import { picoTarget } from '../../host/targets/pico.ts';
import { rigOf } from '../assembly/rigs.ts';
import { firmwareOf } from './firmware.ts';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-flash-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

const image = packImage(rigOf());
const made = (name: string) => {
  const firmware = firmwareOf(name);
  const board = readBoard('boards', name);
  return { board, firmware, file: flashFile(board, readFileSync(firmware.bin!), image) };
};
/** What `flash` does, once it has the file. */
const write = (board: BoardFile, file: ReturnType<typeof flashFile>, to?: string): string =>
  placeFile(board, file, placeOf(board, to), folder);
const drive = (name: string, id: string): string => {
  const at = join(folder, name);
  mkdirSync(at);
  writeFileSync(join(at, 'INFO_UF2.TXT'), `UF2 Bootloader v1.0\r\nModel: a test\r\nBoard-ID: ${id}\r\n`);
  return at;
};

describe('slots', () => {
  it.each(['pico', 'f405'])('of %s stand where its board.json says', (name) => {
    const { board, firmware } = made(name);
    const symbols = elfSymbols(readFileSync(firmware.elf));
    expect(symbols.get('slots_start')! >>> 0).toBe(Number(board.flash!.slots_address));
  });
});

describe('a drive', () => {
  it('gets firmware and rig, and the emulated board boots with the rig in force', async () => {
    const { board, file } = made('pico');
    const at = drive('right', 'RPI-RP2');
    // A link of that name is replaced, never written through.
    const far = join(folder, 'far.uf2');
    writeFileSync(far, 'another’s');
    symlinkSync(far, join(at, 'posewright-pico.uf2'));
    expect(write(board, file, at)).toContain('read back');
    expect(readFileSync(far, 'utf8')).toBe('another’s');
    const uf2 = join(at, 'posewright-pico.uf2');
    const talk = await Conversation.open(picoTarget({ uf2 }), { telemetry: () => undefined });
    expect((await talk.who()).fingerprint).toBe(imageFingerprint(image));
    await talk.session.close();
  });

  it('of another board, and a folder that is no drive, are left alone', () => {
    const { board, file } = made('pico');
    const other = drive('other', 'SOMETHING-ELSE');
    expect(() => write(board, file, other)).toThrow(/SOMETHING-ELSE.*nothing was written/);
    expect(readdirSync(other)).toEqual(['INFO_UF2.TXT']);
    expect(() => write(board, file, folder)).toThrow(FirmwareError);
    expect(() => write(board, file, join(folder, 'nowhere'))).toThrow('is not there');
  });
});

describe('dfu-util', () => {
  /** A stand-in of our own, not the program: -D keeps the file as the flash, -U gives it back, spoiled when it is told to. */
  const standIn = (spoil: boolean): string => {
    const at = join(folder, spoil ? 'spoiling' : 'honest');
    mkdirSync(at);
    const program = join(at, 'dfu-util');
    writeFileSync(
      program,
      `#!/bin/sh\nwhile [ $# -gt 0 ]; do case "$1" in -D) cp "$2" "${at}/flash";; -U) cp "${at}/flash" "$2"; ${spoil ? 'printf x >> "$2"' : 'true'};; esac; shift; done\n`,
    );
    chmodSync(program, 0o755);
    return at;
  };
  const withPath = (first: string, run: () => unknown): unknown => {
    const before = process.env['PATH'];
    process.env['PATH'] = `${first}${delimiter}${before ?? ''}`;
    try {
      return run();
    } finally {
      process.env['PATH'] = before;
    }
  };

  it('is given one file, with the rig in the first slot, that is read back', () => {
    const { board, file } = made('f405');
    const at = standIn(false);
    expect(withPath(at, () => write(board, file))).toContain('read back');
    const flash = readFileSync(join(at, 'flash'));
    expect([...flash.subarray(0x8000 + 256, 0x8000 + 256 + image.length)]).toEqual([...image]);
    expect(flash.subarray(0xc000, 0x10000).every((byte) => byte === 0xff)).toBe(true);
  });

  it('that reads back something else is found out', () => {
    const { board, file } = made('f405');
    const at = standIn(true);
    const spoiled = (): unknown => withPath(at, () => write(board, file));
    expect(spoiled).toThrow(NotWritten);
    expect(spoiled).toThrow('does not hold what was written');
  });
});
