/** Which port is the posewright board's, from lists as the systems give them (invented numbers; the shapes are serialport's). */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { TargetError } from '../../../host/replay/conversation.ts';
import { type FoundPort, USB_ID, findBoard, isOurs } from '../../../host/targets/usb.ts';

const onLinux = (path: string, serialNumber: string): FoundPort => ({
  path,
  manufacturer: 'posewright',
  serialNumber,
  vendorId: '1209',
  productId: '0001',
  pnpId: `usb-posewright_posewright_pico_${serialNumber}-if00`,
});
const OWL = onLinux('/dev/ttyACM0', 'E6614103E72B4A21');
const STORK = onLinux('/dev/ttyACM1', 'E66141047A0C3B22');
const ADAPTER: FoundPort = {
  path: '/dev/ttyUSB0',
  manufacturer: 'FTDI',
  vendorId: '0403',
  productId: '6001',
  serialNumber: 'A50285BI',
};
const ON_BOARD: FoundPort = { path: '/dev/ttyS0' };
/** The same pair of ids, somebody else's test. */
const STRANGER: FoundPort = { path: '/dev/ttyACM7', manufacturer: 'lampworks', vendorId: '1209', productId: '0001' };

const find = (ports: readonly FoundPort[], serial?: string, system = 'linux'): Promise<FoundPort> =>
  findBoard({ ports: () => Promise.resolve(ports), system }, serial);

describe('is a posewright board’s', () => {
  it.each<[string, FoundPort, boolean]>([
    ['a port on Linux', OWL, true],
    ['one on macOS', { path: '/dev/tty.usbmodem14101', manufacturer: 'posewright' }, true],
    ['one on Windows', { path: 'COM7', manufacturer: 'Microsoft', vendorId: '1209', productId: '0001' }, true],
    ['with its own ids and our strings', { ...OWL, vendorId: 'CAFE', productId: '4001' }, true],
    ['with our ids and no strings', { path: 'COM8', vendorId: '1209', productId: '1' }, true],
    ['another’s with the same ids', STRANGER, false],
    ['one of another product', { path: 'COM9', manufacturer: 'Microsoft', vendorId: '1209', productId: '0002' }, false],
    ['an adapter', ADAPTER, false],
    ['the computer’s own', ON_BOARD, false],
  ])('%s: %s', (_, port, ours) => {
    expect(isOurs(port)).toBe(ours);
  });
});

describe('the board on USB', () => {
  it('is the one there is', async () => {
    expect(await find([ON_BOARD, ADAPTER, OWL, STRANGER])).toBe(OWL);
  });

  it('is the one whose number is given', async () => {
    expect(await find([OWL, STORK], 'e66141047a0c3b22')).toBe(STORK);
    await expect(find([OWL, STORK], '77')).rejects.toThrow(
      /no posewright board on USB has the serial number 77; there is \/dev\/ttyACM0, serial E6614103E72B4A21; \/dev\/ttyACM1/,
    );
  });

  it('of two is asked for', async () => {
    await expect(find([OWL, STORK])).rejects.toThrow(
      /^2 posewright boards are on USB: \/dev\/ttyACM0, serial E66\w+; \/dev\/ttyACM1, serial E66\w+\. Say which: --on usb:E6614103E72B4A21, or --on serial:\/dev\/ttyACM0$/,
    );
  });

  it.each<[string, readonly FoundPort[], string, RegExp]>([
    [
      'Linux',
      [ON_BOARD, ADAPTER],
      'linux',
      /on USB there is \/dev\/ttyUSB0 \(FTDI 0403:6001\)\..*sudo usermod -aG dialout/,
    ],
    ['Linux, nothing on USB', [ON_BOARD], 'linux', /of 1 serial port none is on USB/],
    ['macOS', [], 'darwin', /there is no serial port at all.*\/dev\/cu\./],
    ['Windows', [], 'win32', /Device Manager/],
  ])('that is not there is asked for: %s', async (_, ports, system, words) => {
    const found = find(ports, '', system);
    await expect(found).rejects.toThrow(TargetError);
    await expect(found).rejects.toThrow(words);
    await expect(found).rejects.toThrow(/^no posewright board is on USB: .*Is it plugged in.*at serial:PATH/);
  });

  it('of dozens of others six are named', async () => {
    const many = Array.from({ length: 9 }, (_, i) => ({ ...ADAPTER, path: `/dev/ttyUSB${String(i)}` }));
    await expect(find(many)).rejects.toThrow(/ttyUSB5 \(FTDI 0403:6001\) and 3 more\./);
  });
});

it('the pair is the firmware’s', () => {
  const config = readFileSync('boards/pico/board_config.h', 'utf8');
  const [vendor, product] = ['VENDOR', 'PRODUCT'].map((name) =>
    Number(new RegExp(`^#define PICO_USB_${name} (0x[\\da-f]+)u$`, 'm').exec(config)?.[1]),
  );
  expect([vendor, product]).toEqual([USB_ID.vendor, USB_ID.product]);
});
