/** Replay in real time: the native board over its pseudo-terminal, and the same as any serial port would be. */
import { mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { PERFECT_LINK } from '../../host/replay/link-model.ts';
import { Conversation, TargetError } from '../../host/replay/conversation.ts';
import { replay } from '../../host/replay/replay.ts';
import { type Target, targetWords } from '../../host/replay/target.ts';
import { nativeTarget, startNative } from '../../host/targets/native.ts';
import { serialTarget } from '../../host/targets/serial.ts';
import { packImage } from '../../host/controller/image.ts';
import { rigOf } from '../assembly/rigs.ts';
import { firmwareOf } from './firmware.ts';

const clock = (): number => performance.now();
const stream = [new TextEncoder().encode(['t_s,y_mm,nod_deg', '0,0,0', '0.5,3,5', '1,0,0'].join('\n'))];
const play = (target: Target) =>
  replay(rigOf(), stream, target, { link: PERFECT_LINK, tolerance: { mm: 0.5, deg: 0.5 }, name: 'nod' });

let stop: (() => Promise<void>) | null = null;
afterEach(async () => {
  await stop?.();
  stop = null;
});

describe('a line in real time', () => {
  it('the native board plays a stream as the simulation does', async () => {
    const { answer } = await play(nativeTarget({ elf: firmwareOf('native').elf, clock }));
    expect(answer).toMatchObject({
      ok: true,
      target: 'native',
      proven: 'computer',
      frames: 3,
      late: 0,
      starved: 0,
      breaches: [],
    });
    expect(answer.tick_us!.p50).toBeGreaterThan(0);
  });

  it('a serial port is the same, and keeps its rig from one conversation to the next', async () => {
    const program = await startNative({ elf: firmwareOf('native').elf, clock });
    stop = program.stop;
    const talk = await Conversation.open(serialTarget(program.path, clock), { telemetry: () => undefined });
    expect((await talk.who()).fingerprint).toBe(0);
    await talk.load(packImage(rigOf()));
    await talk.session.close();
    const again = await Conversation.open(serialTarget(program.path, clock), { telemetry: () => undefined });
    expect((await again.who()).fingerprint).not.toBe(0);
    await again.session.close();
  });

  it('a pseudo-terminal is a program on this computer, by whatever name; another device may be a board', async () => {
    const program = await startNative({ elf: firmwareOf('native').elf, clock });
    stop = program.stop;
    const folder = mkdtempSync(join(tmpdir(), 'posewright-port-'));
    const link = join(folder, 'board');
    symlinkSync(program.path, link);
    for (const path of [program.path, link]) {
      const target = serialTarget(path, clock);
      expect(target).toMatchObject({ proven: 'computer', clock: 'this computer' });
      expect(targetWords(target)).toBe(`serial:${path}, a program on this computer`);
    }
    rmSync(folder, { recursive: true });
    for (const path of ['/dev/null', '/dev/no-such-port'])
      expect(serialTarget(path, clock)).toMatchObject({ proven: 'hardware', clock: 'the board' });
    expect(targetWords(serialTarget('/dev/null', clock))).toBe('serial:/dev/null');
  });

  it('says in words what is wrong with a port', async () => {
    await expect(
      Conversation.open(serialTarget('/dev/no-such-port', clock), { telemetry: () => undefined }),
    ).rejects.toThrow(TargetError);
    await expect(
      Conversation.open(serialTarget('/dev/no-such-port', clock), { telemetry: () => undefined }),
    ).rejects.toThrow('is the board plugged in?');
  });

  it('a host that is killed in mid-stream leaves a prop that holds, then settles by itself', async () => {
    const program = await startNative({ elf: firmwareOf('native').elf, clock });
    stop = program.stop;
    const target = serialTarget(program.path, clock);
    const rig = rigOf({ hold_s: 1 });
    const talk = await Conversation.open(target, { telemetry: () => undefined });
    await talk.load(packImage(rig));
    await talk.report(4);
    expect(await talk.rouse()).toBe(true);
    const port = talk.session;
    port.write(talk.send.pose(talk.now_us + 1e5, Float64Array.of(0, 3, 0, 0, 0, 0, 0.1, 0.2), 6), port.now_us);
    await talk.until(() => talk.state === 'holding', 5e6);
    expect(talk.state).toBe('holding');
    await talk.until(() => talk.state === 'limp', 2e7);
    expect(talk.state).toBe('limp');
    expect([...talk.latest.pulse_us].every((us) => us === 0)).toBe(true);
    await port.close();
  });
});
