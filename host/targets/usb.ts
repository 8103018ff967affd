/**
 * Finds the posewright board among the serial ports of this computer, by what its USB descriptor says, and tells in words what is
 * there instead. Opens nothing: a board that is found is used as any serial port.
 */
import { SerialPort } from 'serialport';
import { counted, together } from '../rig/words.ts';
import { TargetError } from '../replay/conversation.ts';

/** What the system tells of a port; vendor and product id are four hex digits. Undefined: it does not tell, or the port is not on USB. */
export interface FoundPort {
  readonly path: string;
  readonly manufacturer?: string | undefined;
  readonly serialNumber?: string | undefined;
  readonly vendorId?: string | undefined;
  readonly productId?: string | undefined;
  /** On Linux and Windows it holds the product's name too. */
  readonly pnpId?: string | undefined;
}

/** All ports of a computer, and which system it runs, as process.platform names it. */
export interface PortList {
  ports(): Promise<readonly FoundPort[]>;
  readonly system: string;
}

/**
 * boards/pico/board_config.h has the same pair: one for private tests (pid.codes, 1209:0001), that other people's tests may use too.
 */
export const USB_ID = { vendor: 0x1209, product: 0x0001 } as const;
const MAKER = 'posewright';
/** Windows names the maker of its driver in the place of the device's. */
const DRIVER_MAKER = /^microsoft/i;

/** The ports of this computer. Rejects with TargetError where the system cannot list them. */
export const thisComputer: PortList = {
  ports: () =>
    SerialPort.list().catch((error: unknown) => {
      const words = error instanceof Error ? error.message : String(error);
      throw new TargetError(
        `the ports of this computer cannot be listed (${words}): name the board's with serial:PATH`,
      );
    }),
  system: process.platform,
};

const hex = (value: string | undefined): number => (value === undefined ? NaN : parseInt(value, 16));

/** Whether a port is a posewright board's: by its strings; by its ids where no string says otherwise, since others may use them too. */
export function isOurs({ manufacturer = '', pnpId = '', vendorId, productId }: FoundPort): boolean {
  if (manufacturer.toLowerCase() === MAKER || pnpId.toLowerCase().includes(MAKER)) return true;
  const silent = manufacturer === '' || DRIVER_MAKER.test(manufacturer);
  return silent && hex(vendorId) === USB_ID.vendor && hex(productId) === USB_ID.product;
}

/** A port in words: `/dev/ttyACM0, serial 1234`. */
export const boardAt = ({ path, serialNumber }: FoundPort): string =>
  `${path}, ${serialNumber === undefined ? 'without a serial number' : `serial ${serialNumber}`}`;

function otherPort({ path, manufacturer, vendorId, productId }: FoundPort): string {
  const ids = vendorId === undefined ? '' : `${vendorId}:${productId ?? '?'}`;
  const what = [manufacturer ?? '', ids].filter((words) => words !== '').join(' ');
  return what === '' ? path : `${path} (${what})`;
}

/** More ports than these are only counted: a computer may list dozens that lead nowhere. */
const MOST_SHOWN = 6;

/** Ports that are not a posewright board's, those on USB by name, in a sentence without a stop. */
function otherPorts(ports: readonly FoundPort[]): string {
  if (ports.length === 0) return 'there is no serial port at all';
  const onUsb = ports.filter(({ vendorId }) => vendorId !== undefined);
  if (onUsb.length === 0) return `of ${counted(ports.length, 'serial port')} none is on USB`;
  const shown = onUsb.slice(0, MOST_SHOWN).map(otherPort);
  const more = onUsb.length - shown.length;
  return `on USB there is ${together(more > 0 ? [...shown, `${String(more)} more`] : shown)}`;
}

/** Where a board's port shows on this system, and what may keep it away; a sentence without a stop. */
export function systemWords(system: string): string {
  if (system === 'darwin') return 'on macOS it is /dev/cu.usbmodem… ("ls /dev/cu.*" lists them); no driver is needed';
  if (system === 'win32')
    return 'on Windows it is COM and a number: Device Manager, "Ports (COM & LPT)"; from Windows 10 on no driver is needed';
  return 'on Linux it is /dev/ttyACM0 or a number further, and opening it takes the group dialout: "sudo usermod -aG dialout $USER", then log in again';
}

const nonePlugged = (ports: readonly FoundPort[], system: string): string =>
  `no posewright board is on USB: ${otherPorts(ports)}. Is it plugged in, with a cable that carries data and not power alone, and was it flashed? ` +
  `A board on a UART adapter is at serial:PATH. Its port: ${systemWords(system)}`;

/**
 * The one posewright board on USB. `serial`: the number of the one that is meant, in any case of letters; '': whichever there is.
 * Rejects with TargetError, in words, when there is none, or more than one.
 */
export async function findBoard({ ports, system }: PortList, serial = ''): Promise<FoundPort> {
  const all = await ports();
  const ours = all.filter(isOurs);
  const meant = serial === '' ? ours : ours.filter((port) => port.serialNumber?.toLowerCase() === serial.toLowerCase());
  const [first] = meant;
  if (first && meant.length === 1) return first;
  if (ours.length === 0) throw new TargetError(nonePlugged(all, system));
  const there = ours.map(boardAt).join('; ');
  if (serial !== '' && meant.length === 0)
    throw new TargetError(`no posewright board on USB has the serial number ${serial}; there is ${there}`);
  throw new TargetError(
    `${String(meant.length)} posewright boards are on USB: ${there}. Say which: --on usb:${first?.serialNumber ?? 'SERIAL'}, or --on serial:${first?.path ?? 'PATH'}`,
  );
}
