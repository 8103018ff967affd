/**
 * A computer whose USB is the emulated cable, and on it an emulated pico: its port by what its descriptors say, its clock the
 * machine's, the drive of its boot loader a folder. What is dropped into the folder goes into the machine's flash.
 */
import { existsSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Cable } from '../../host/cli/flash/reboot.ts';
import { TargetError } from '../../host/replay/conversation.ts';
import type { Session } from '../../host/replay/target.ts';
import { dropOn } from '../../host/targets/rp2040/boot-drive.ts';
import { lineState } from '../../host/targets/rp2040/usb-requests.ts';
import type { FoundPort } from '../../host/targets/usb.ts';
import { UsbProp } from './usb-prop.ts';

const PATH = '/dev/ttyACM0';
const OPENS_US = 5000;
const hex = (low = 0, high = 0): string => ((high << 8) | low).toString(16).padStart(4, '0');

export interface Ways {
  /** Somebody mounts the drive so long after it has come; Infinity: nobody. */
  mountedAfter_ms: number;
  /** What of a file the drive takes. */
  takes(uf2: Uint8Array): Uint8Array;
}

export class PicoOnUsb implements Cable {
  readonly system = 'linux';
  readonly prop: UsbProp;
  private readonly drive: string;
  private readonly ways: Ways;
  private hear: ((bytes: Uint8Array) => void) | null = null;
  private mounts_ms = Infinity;

  constructor(folder: string, ways: Partial<Ways> = {}) {
    this.drive = join(folder, 'RPI-RP2');
    this.ways = { mountedAfter_ms: 1000, takes: (uf2) => uf2, ...ways };
    this.prop = new UsbProp({ usb: (bytes) => this.hear?.(bytes) });
    this.prop.machine.cable.plug();
    this.prop.run(250_000);
  }

  readonly ports = (): Promise<readonly FoundPort[]> => {
    this.look();
    const { configured, found } = this.prop.machine.cable;
    if (!configured) return Promise.resolve([]);
    const [, manufacturer, , serialNumber] = found.strings;
    const [vendorId, productId] = [hex(...found.device.slice(8, 10)), hex(...found.device.slice(10, 12))];
    return Promise.resolve([{ path: PATH, manufacturer, serialNumber, vendorId, productId }]);
  };

  target(path: string) {
    return {
      name: `serial:${path}`,
      proven: 'emulator' as const,
      clock: 'none',
      open: ({ bytes }: { bytes(data: Uint8Array): void }) => this.session(path, bytes),
    };
  }

  private session(path: string, hear: (bytes: Uint8Array) => void): Session {
    const { prop } = this;
    const { machine } = prop;
    const gone = (): never => {
      throw new TargetError(`${path} is gone`);
    };
    if (path !== PATH || !machine.cable.configured) gone();
    machine.cable.ask(lineState(true));
    prop.run(OPENS_US);
    this.hear = hear;
    const from_us = machine.now_us;
    return {
      get now_us() {
        return machine.now_us - from_us;
      },
      sharesClock: false,
      write: (bytes, at_us) => {
        machine.cable.write(bytes, at_us + from_us);
      },
      advance: (to_us) => {
        machine.run(to_us + from_us);
        if (!machine.cable.configured) gone();
      },
      close: () => {
        this.hear = null;
        machine.cable.ask(lineState(false));
        prop.run(OPENS_US);
      },
    };
  }

  drives(): readonly string[] {
    this.look();
    return existsSync(this.drive) ? [this.drive] : [];
  }

  isThere(at: string): boolean {
    this.look();
    return existsSync(at);
  }

  now_ms(): number {
    return this.prop.machine.now_us / 1000;
  }

  pause(ms: number): Promise<void> {
    this.prop.run(ms * 1000);
    return Promise.resolve();
  }

  /** What the computer does of itself: it mounts the boot loader's drive, and hands on what lies in it. */
  private look(): void {
    const { machine } = this.prop;
    if (machine.bootLoader === null) {
      this.mounts_ms = Infinity;
      return;
    }
    if (this.mounts_ms === Infinity) this.mounts_ms = this.now_ms() + this.ways.mountedAfter_ms;
    if (this.now_ms() < this.mounts_ms) return;
    if (!existsSync(this.drive)) {
      mkdirSync(this.drive);
      writeFileSync(
        join(this.drive, 'INFO_UF2.TXT'),
        'UF2 Bootloader v3.0\nModel: Raspberry Pi RP2\nBoard-ID: RPI-RP2\n',
      );
    }
    const dropped = readdirSync(this.drive).find((name) => name.endsWith('.uf2'));
    if (dropped === undefined) return;
    dropOn(machine, this.ways.takes(readFileSync(join(this.drive, dropped))));
    rmSync(this.drive, { recursive: true });
  }
}
