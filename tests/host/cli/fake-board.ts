/**
 * A board on USB that there is not, over a clock that only waits move: it answers "who" and "boot", shows a drive (a folder) while it
 * waits for firmware, and comes back with the rig that lies in the file, as the emulated boards read it.
 */
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Cable } from '../../../host/cli/flash/reboot.ts';
import { encodeFrame, frameReader } from '../../../host/controller/frames.ts';
import { imageFingerprint } from '../../../host/controller/image.ts';
import { PROTOCOL, RESULT, STATES, type StateName, TYPE } from '../../../host/controller/messages.ts';
import { readBoard } from '../../../host/firmware/compile.ts';
import { isBootDrive } from '../../../host/firmware/place.ts';
import { TargetError } from '../../../host/replay/conversation.ts';
import type { Session, Target } from '../../../host/replay/target.ts';
import { flashOf } from '../../../host/targets/pico.ts';
import type { FoundPort } from '../../../host/targets/usb.ts';

export interface Fake {
  /** Its number in "I am". */
  board: number;
  state: StateName;
  fingerprint: number;
  /** The firmware knows the message that restarts it. */
  knowsBoot: boolean;
  /** It restarts before anybody hears its answer. */
  answersBoot: boolean;
  /** Somebody mounts the drive so long after the restart; Infinity: nobody. */
  mountedAfter_ms: number;
  /** It is back so long after the file; Infinity: never. */
  backAfter_ms: number;
  /** Then the system still keeps the port shut for so long. */
  shutFor_ms: number;
  /** It comes back with the rig it had. */
  keepsOld: boolean;
  /** Where it is when it is back. */
  backOn: FoundPort;
}

const WELL: Fake = {
  board: 1,
  state: 'limp',
  fingerprint: 0x1234,
  knowsBoot: true,
  answersBoot: true,
  mountedAfter_ms: 1500,
  backAfter_ms: 2000,
  shutFor_ms: 600,
  keepsOld: false,
  backOn: { path: '/dev/ttyACM3', manufacturer: 'posewright', serialNumber: 'E661' },
};
const FILE = 'posewright-pico.uf2';
const board = readBoard('boards', 'pico');

/** The rig image in the first slot of a file. */
function rigIn(uf2: Uint8Array): Uint8Array {
  const slots = flashOf(uf2).subarray(Number(board.flash!.slots_address) - Number(board.flash!.address));
  return slots.slice(256, 256 + new DataView(slots.buffer, slots.byteOffset).getUint32(8, true));
}

export interface FakeCable extends Cable {
  readonly told: string[];
  /** The drive as it shows without anybody asking, as with the button held. */
  pressed(): string;
}

/** `others`: ports beside it. */
export function fakeCable(folder: string, given: Partial<Fake>, others: readonly FoundPort[] = []): FakeCable {
  const fake: Fake = { ...WELL, ...given };
  const drive = join(folder, 'RPI-RP2');
  let now_ms = 0;
  let port: FoundPort | null = { path: '/dev/ttyACM0', manufacturer: 'posewright', serialNumber: 'E661' };
  let mounted_ms = Infinity;
  let back_ms = Infinity;
  const mount = (): void => {
    if (existsSync(drive) || now_ms < mounted_ms) return;
    mkdirSync(drive);
    writeFileSync(join(drive, 'INFO_UF2.TXT'), 'UF2 Bootloader v3.0\r\nModel: a test\r\nBoard-ID: RPI-RP2\r\n');
  };
  /** What the board does of itself as time goes on. */
  const live = (): void => {
    mount();
    const file = join(drive, FILE);
    if (existsSync(file)) {
      if (!fake.keepsOld) fake.fingerprint = imageFingerprint(rigIn(readFileSync(file)));
      rmSync(drive, { recursive: true });
      [mounted_ms, back_ms] = [Infinity, now_ms + fake.backAfter_ms];
    }
    if (now_ms >= back_ms) port = fake.backOn;
  };
  const leave = (): void => {
    port = null;
    mounted_ms = now_ms + fake.mountedAfter_ms;
  };
  return {
    told: [],
    system: 'linux',
    ports() {
      live();
      return Promise.resolve([...others, ...(port ? [port] : [])]);
    },
    target: (path) => targetAt(path),
    drives() {
      live();
      return isBootDrive(drive) ? [drive] : [];
    },
    isThere(at) {
      live();
      return isBootDrive(at);
    },
    now_ms: () => now_ms,
    pause(ms) {
      now_ms += ms;
      return Promise.resolve();
    },
    pressed() {
      leave();
      now_ms = mounted_ms;
      mount();
      return drive;
    },
  };

  function targetAt(path: string): Target {
    return {
      name: `serial:${path}`,
      proven: 'hardware',
      clock: 'none',
      open({ bytes }) {
        if (now_ms < back_ms + fake.shutFor_ms && back_ms <= now_ms) throw new TargetError(`${path} cannot be opened`);
        return sessionAt(path, bytes);
      },
    };
  }

  function sessionAt(path: string, hear: (bytes: Uint8Array) => void): Session {
    const opened_ms = now_ms;
    const iAm = new DataView(new ArrayBuffer(22));
    const read = frameReader({
      frame(type, sequence) {
        if (type === TYPE.who) {
          [PROTOCOL, fake.board, 16, STATES.indexOf(fake.state)].forEach((value, i) => {
            iAm.setUint8(i, value);
          });
          iAm.setUint32(4, fake.fingerprint, true);
          hear(encodeFrame(TYPE.iAm, sequence, new Uint8Array(iAm.buffer)));
        } else if (type === TYPE.boot && fake.knowsBoot) {
          const limp = fake.state === 'limp';
          const answer = Uint8Array.of(type, sequence, limp ? RESULT.done : RESULT.notNow);
          if (fake.answersBoot) hear(encodeFrame(TYPE.answer, sequence, answer));
          if (limp) leave();
        }
      },
      bad: () => undefined,
    });
    return {
      get now_us() {
        return (now_ms - opened_ms) * 1000;
      },
      sharesClock: false,
      write: read,
      advance(to_us) {
        now_ms = Math.max(now_ms, opened_ms + to_us / 1000);
        if (port?.path !== path) throw new TargetError(`${path} disappeared`);
      },
      close: () => undefined,
    };
  }
}
