/** The pico's link over a cable on which packets go wrong, and over a port that closes and opens while the flash is being written. */
import { afterEach, describe, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { RESULT, TYPE } from '../../host/controller/messages.ts';
import { lineState } from '../../host/targets/rp2040/usb-requests.ts';
import type { WireError } from '../../host/targets/rp2040/usb-link.ts';
import { has } from './firmware.ts';
import { UsbProp } from './usb-prop.ts';

let prop: UsbProp;
function plugged(): UsbProp {
  prop = new UsbProp();
  prop.machine.cable.plug();
  prop.run(200_000);
  expect(prop.machine.cable.open).toBe(true);
  return prop;
}
afterEach(() => {
  expect(prop.machine.faults).toEqual([]);
});

describe.skipIf(!has('arm-none-eabi-gcc'))('a packet that goes wrong goes again, and counts once:', () => {
  const PAUSES = 12;
  it.each<['in' | 'out', readonly WireError[]]>([
    ['out', ['damaged']],
    ['out', ['damaged', 'damaged']],
    ['out', ['lostAck']],
    ['out', ['lostAck', 'damaged', 'lostAck']],
    ['in', ['damaged']],
    ['in', ['damaged', 'damaged']],
    ['in', ['lostAck']],
    ['in', ['lostAck', 'damaged', 'lostAck']],
  ])('%s, %j', (way, errors) => {
    plugged();
    for (let n = 0; n < PAUSES; n++) {
      const before = prop.overUsb;
      // Every other one, so that a packet lost or doubled meets both PIDs.
      if (n % 2 === 0) prop.machine.cable.link.spoil(way, ...errors);
      expect(prop.ask(TYPE.pause)).toBe(RESULT.notNow);
      expect(prop.overUsb - before).toBe(1);
    }
    expect([prop.bad, prop.machine.cable.link.owed]).toEqual([0, { in: 0, out: 0 }]);
  });

  it('a rig whose every other packet goes wrong, both ways, is the rig', () => {
    plugged();
    for (const frame of prop.send.image(packImage(prop.rig))) {
      prop.machine.cable.link.spoil('out', 'lostAck', 'damaged');
      prop.machine.cable.link.spoil('in', 'damaged', 'lostAck');
      prop.tell(frame, 20_000);
    }
    prop.run(50_000);
    prop.machine.cable.link.spoil('out', 'lostAck');
    prop.ask(TYPE.who);
    expect([prop.fingerprint, prop.bad]).toEqual([imageFingerprint(packImage(prop.rig)), 0]);
  });
});

describe.skipIf(!has('arm-none-eabi-gcc'))('a port that closes and opens', () => {
  it.each([0, 100, 200, 300, 400])('%i us into the writing of a rig leaves it whole', (into_us) => {
    plugged();
    const { machine } = prop;
    const frames = [...prop.send.image(packImage(prop.rig))];
    for (const frame of frames.slice(0, -1)) prop.tell(frame, 12_000);
    const before = Buffer.from(machine.flash);
    prop.tell(frames.at(-1)!, 0);
    for (let n = 0; n < 5000 && before.equals(machine.flash); n++) prop.run(20);
    prop.run(into_us);
    const during = Buffer.from(machine.flash);
    for (let n = 0; n < 10; n++) {
      machine.cable.ask(lineState(false), lineState(true));
      prop.run(3000);
    }
    expect(during.equals(machine.flash)).toBe(false);
    const wanted = imageFingerprint(packImage(prop.rig));
    prop.ask(TYPE.who);
    expect(prop.fingerprint).toBe(wanted);
    machine.reset('power');
    prop.run(300_000);
    prop.ask(TYPE.who);
    expect([prop.fingerprint, machine.cable.open]).toEqual([wanted, true]);
  });
});
