/** The pico's USB port on the emulated RP2040, from a host that holds the chip's and the bus's rules against it: nothing of it on silicon. */
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it } from 'vitest';
import { instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import { RESULT, TYPE, sender } from '../../host/controller/messages.ts';
import { PERFECT_LINK } from '../../host/replay/link-model.ts';
import { replay } from '../../host/replay/replay.ts';
import { readRig } from '../../host/rig/read.ts';
import { picoTarget } from '../../host/targets/pico.ts';
import {
  type Request,
  describe as descriptor,
  lineCoding,
  lineState,
  request,
} from '../../host/targets/rp2040/usb-requests.ts';
import { WASM } from '../assembly/prop.ts';
import { rigOf } from '../assembly/rigs.ts';
import { firmwareOf, has } from './firmware.ts';
import { type Ears, UsbProp } from './usb-prop.ts';

const TOOLS = has('arm-none-eabi-gcc');
/** Core cycles of a tick of 10 ms at 125 MHz. */
const TICK_CYCLES = 1_250_000;
const LAMP_PIN = 25;

let prop: UsbProp;
/** Those of this test. */
const props: UsbProp[] = [];
function made(ears: Ears = {}): UsbProp {
  prop = new UsbProp(ears);
  props.push(prop);
  return prop;
}
/** A prop on the cable; what it does against the rules of chip and bus fails its test. */
function plugged(): UsbProp {
  made();
  prop.machine.cable.plug();
  prop.run(200_000);
  expect(prop.machine.faults).toEqual([]);
  expect(prop.machine.cable.open).toBe(true);
  return prop;
}
afterEach(() => {
  for (const { machine } of props.splice(0)) expect(machine.faults).toEqual([]);
});

describe.skipIf(!TOOLS)('the device', () => {
  it('says byte for byte what a serial port says', () => {
    const { found } = plugged().machine.cable;
    // USB 2.0 table 9-8: length, type, USB 2.0, class 2 (CDC 1.2 table 2), EP0 of 64 bytes, pair, release 1.00, strings, one configuration.
    expect([...found.device]).toEqual([18, 1, 0, 2, 2, 0, 0, 64, 0x09, 0x12, 0x01, 0x00, 0x00, 0x01, 1, 2, 3, 1]);
    expect([...found.configuration]).toEqual(
      [
        [9, 2, 67, 0, 2, 1, 0, 0x80, 50], // USB 2.0 table 9-10: 67 bytes, two interfaces, from the bus, 100 mA
        [9, 4, 0, 0, 1, 2, 2, 0, 0], // table 9-12; CDC 1.2 tables 2 and 4: communications, abstract control model
        [5, 0x24, 0, 0x10, 0x01], // CDC 1.2 table 15: header, release 1.10
        [5, 0x24, 1, 0, 1], // PSTN 1.2 table 3: no call management, data on interface 1
        [4, 0x24, 2, 2], // PSTN 1.2 table 4: line coding and line state
        [5, 0x24, 6, 0, 1], // CDC 1.2 table 16: union of 0 and 1
        [7, 5, 0x81, 3, 8, 0, 255], // USB 2.0 table 9-13: interrupt IN, 8 bytes
        [9, 4, 1, 0, 2, 0x0a, 0, 0, 0], // CDC 1.2 table 6: data
        [7, 5, 0x02, 2, 64, 0, 0],
        [7, 5, 0x82, 2, 64, 0, 0],
      ].flat(),
    );
    // The flash's own number, as the emulated chip has it.
    expect(found.strings.slice(1)).toEqual(['posewright', 'posewright pico', 'E6616408435A9B27']);
  });

  it('answers the requests of chapter 9 and of a serial port, stalls others, and hears the next one', () => {
    const { machine } = plugged();
    // One packet each way, so that beginning with DATA0 again is a change.
    expect(prop.ask(TYPE.pause)).toBe(RESULT.notNow);
    const coding = lineCoding(57_600);
    const asked: readonly [Request, number[] | 'stall'][] = [
      [request(0x80, 0, 0, 0, 2), [0, 0]], // GET_STATUS, USB 2.0 9.4.5
      [request(0x80, 8, 0, 0, 1), [1]], // GET_CONFIGURATION
      [request(0x81, 10, 0, 1, 1), [0]], // GET_INTERFACE
      [descriptor(6, 0, 10), 'stall'], // no qualifier on a device of full speed only, 9.6.2
      [descriptor(3, 0, 255), [4, 3, 9, 4]],
      [descriptor(3, 9, 255), 'stall'],
      [descriptor(2, 0, 4), [9, 2, 67, 0]],
      [request(0x40, 0x77), 'stall'],
      [request(0, 9, 2), 'stall'], // SET_CONFIGURATION 2
      [request(0xa1, 0x21, 0, 0, 7), [0x20, 0xa1, 0x07, 0, 0, 0, 8]], // GET_LINE_CODING: 500,000 8N1, PSTN 1.2 table 17
      [coding, []],
      [request(0xa1, 0x21, 0, 0, 7), [0x00, 0xe1, 0, 0, 0, 0, 8]],
      [request(0x02, 1, 0, 0x02), []], // CLEAR_FEATURE(HALT): DATA0 next, 9.4.5
      [request(0x02, 1, 0, 0x82), []],
      [request(0x02, 1, 0, 0x85), 'stall'],
    ];
    machine.cable.ask(...asked.map(([one]) => one));
    prop.run(100_000);
    expect(asked.map(([one]) => (one.stalled ? 'stall' : one.bytes && [...one.bytes]))).toEqual(
      asked.map(([, said]) => said),
    );
    expect(prop.ask(TYPE.pause)).toBe(RESULT.notNow);
  });

  it('begins with DATA0 when it is configured again, and is closed until DTR', () => {
    const { machine } = plugged();
    expect(prop.ask(TYPE.pause)).toBe(RESULT.notNow);
    machine.cable.ask(request(0, 9, 0), request(0, 9, 1));
    prop.run(10_000);
    prop.machine.cable.ask(lineState(true));
    prop.run(10_000);
    expect(prop.ask(TYPE.pause)).toBe(RESULT.notNow);
  });

  it('ends an answer of exactly one packet where the host asked for no more', () => {
    const whole = descriptor(2, 0, 64);
    plugged().machine.cable.ask(whole);
    prop.run(10_000);
    expect(whole.bytes).toEqual(prop.machine.cable.found.configuration.slice(0, 64));
  });
});

describe.skipIf(!TOOLS)('the link over the cable', () => {
  it('gives the bits of the wasm on every tick', () => {
    const twin = instantiateController(WASM);
    twin.init({ board: 1, pins: 16 });
    const lines = { board: [] as string[], twin: [] as string[] };
    const into = (to: string[]) =>
      frameReader({
        frame: (type, sequence, payload) => {
          const bytes = Uint8Array.from(new Uint8Array(payload.buffer, payload.byteOffset, payload.byteLength));
          // The tick's duration is the board's own.
          if (type === TYPE.telemetry) bytes.fill(0, 12, 14);
          to.push(`${String(type)} ${String(sequence)} ${Buffer.from(bytes).toString('hex')}`);
        },
        bad: () => to.push('bad'),
      });
    const [board, wasm] = [into(lines.board), into(lines.twin)];
    const waiting: Uint8Array[] = [];
    made({
      usb: board,
      tick: () => {
        for (const bytes of waiting.splice(0)) twin.receive(bytes);
        twin.tick();
        twin.drain(wasm);
      },
    });
    prop.machine.cable.plug();
    prop.run(204_000);
    const send = sender();
    const say = (bytes: Uint8Array, ticks: number, tick_us = 10_000): void => {
      prop.machine.cable.write(bytes, prop.machine.now_us);
      waiting.push(bytes);
      prop.run(tick_us * ticks);
    };
    const rig = rigOf({ hz: 100 });
    for (const frame of send.image(packImage(rig))) say(frame, 4, 5000);
    say(send.report(1), 1);
    say(send.command(TYPE.rouse), 800);
    for (let n = 0; n < 60; n++) {
      const now_us = 1e4 * n;
      const swing = Math.sin(n / 9);
      const pose = Float64Array.of(6 * swing, -5 * swing, 4 * swing, 0.1 * swing, 0.08, -0.1 * swing, 0.2 * swing, 0.5);
      say(send.pose(prop.heard.now_us + now_us, pose, 6), 3);
    }
    const n = Math.min(lines.board.length, lines.twin.length);
    expect(lines.twin.length - n).toBeLessThanOrEqual(1);
    expect(n).toBeGreaterThan(900);
    expect(lines.board.slice(0, n)).toEqual(lines.twin.slice(0, n));
  });

  it('gives a replay the answer that UART0 gives it, but for where ticks fall between frames', async () => {
    const uf2 = firmwareOf('pico').image;
    const rig = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
    const rows = Array.from({ length: 76 }, (_, i) => [i / 50, 3 * Math.sin(i / 20), 5 * Math.sin(i / 15)].join());
    const stream = [new TextEncoder().encode(['t_s,y_mm,yaw_deg', ...rows].join('\n'))];
    const play = async (link: 'usb' | 'uart0') => {
      const options = { link: PERFECT_LINK, tolerance: { mm: 0.5, deg: 0.5 }, name: 'test' };
      const { answer } = await replay(rig, stream, picoTarget({ uf2, link, stopPin: rig.board!.stop!.pin }), options);
      const { ok, frames, late, starved, unreachable, breaches } = answer;
      return { verdict: { ok, frames, late, starved, unreachable, breaches }, joints: answer.joints };
    };
    const [usb, uart] = [await play('usb'), await play('uart0')];
    expect(usb.verdict).toEqual({ ok: true, frames: 76, late: 0, starved: 0, unreachable: 0, breaches: [] });
    expect(usb.verdict).toEqual(uart.verdict);
    usb.joints.forEach(({ min, max }, i) => {
      // A tick later a joint is a little further on: 0.02 deg of 20.
      expect(Math.abs(min - uart.joints[i]!.min)).toBeLessThan(0.02);
      expect(Math.abs(max - uart.joints[i]!.max)).toBeLessThan(0.02);
    });
    expect(usb.joints[0]!.max).toBeGreaterThan(5);
  });

  it('ends what fills its last packet with an empty one, so that the host hands it on', () => {
    plugged();
    prop.ask(TYPE.pause);
    const before = prop.overUsb;
    // 31 + 9 + 12 + 12 bytes in one tick, with the zeros that bring payloads to whole words: one full packet.
    const four = [TYPE.who, TYPE.pause, TYPE.pause, TYPE.pause].map((type) => prop.send.command(type));
    prop.tell(Buffer.concat(four));
    expect(prop.overUsb - before).toBe(4);
    expect(prop.machine.cable.link.lengths.slice(-2)).toEqual([64, 0]);
  });

  it('offers no packet late in a frame, wherever its ticks fall (erratum E15)', () => {
    // Ticks come at whole ms: eight places of the frame, 125 us apart, so that one is in the 200 us that are forbidden.
    for (let k = 0; k < 8; k++) {
      const one = made();
      one.run(20_000 + 125 * k);
      one.machine.cable.plug();
      one.run(200_000);
      one.tell(one.send.report(1), 300_000);
      expect(one.overUsb).toBeGreaterThan(50);
    }
  });

  it('takes over from UART0 and gives it back', () => {
    plugged();
    prop.tell(prop.send.report(10));
    expect(prop.overUart).toBe(0);
    prop.machine.cable.ask(lineState(false));
    prop.run(200_000);
    expect(prop.overUart).toBeGreaterThan(2);
    prop.machine.cable.ask(lineState(true));
    prop.run(20_000);
    const before = [prop.overUart, prop.overUsb] as const;
    prop.run(200_000);
    expect(prop.overUart).toBe(before[0]);
    expect(prop.overUsb).toBeGreaterThan(before[1]);
    expect(prop.bad).toBeLessThanOrEqual(2);
  });
});

describe.skipIf(!TOOLS)('a prop in motion', () => {
  it('whose cable is pulled holds, settles, and is limp', () => {
    plugged();
    prop.wake();
    prop.move();
    prop.machine.cable.unplug();
    // From here on it speaks on UART0.
    const seen = prop.until('limp');
    expect(seen.filter((state) => state !== 'live')).toEqual(['holding', 'settling', 'limp']);
    // And comes back.
    prop.machine.cable.plug();
    prop.run(300_000);
    expect(prop.ask(TYPE.who)).toBe(-1);
    expect(prop.iAms).toBe(1);
  });

  it.each(['suspend', 'busReset'] as const)('holds after a %s, and goes on when the host is back', (what) => {
    plugged();
    prop.wake();
    prop.move();
    prop.machine.cable[what]();
    if (what === 'suspend') {
      prop.run(400_000);
      prop.machine.cable.resume();
    }
    prop.run(300_000);
    expect(prop.machine.cable.open).toBe(true);
    expect(prop.state).toBe('holding');
    prop.move();
    expect(prop.state).toBe('live');
    expect(prop.machine.bites).toBe(0);
  });

  it('minds nothing of a host that does not read', () => {
    plugged();
    prop.wake();
    prop.machine.cable.link.reading = false;
    const before = { usb: prop.overUsb, bad: prop.bad };
    prop.cycles.length = 0;
    let at_us = prop.heard.now_us + 20_000;
    for (let n = 0; n < 100; n++, at_us += 20_000) prop.pose(at_us, Math.sin(n / 10), 20_000);
    expect(prop.overUsb).toBe(before.usb);
    expect(prop.cycles.length).toBeGreaterThan(190);
    expect(Math.max(...prop.cycles)).toBeLessThan(TICK_CYCLES / 2);
    prop.machine.cable.link.reading = true;
    prop.run(50_000);
    // It is live: the poses arrived all the while. What found no room was left out by whole frames.
    expect(prop.state).toBe('live');
    expect(prop.bad).toBe(before.bad);
    expect(prop.machine).toMatchObject({ bites: 0, faults: [] });
  });
});

describe.skipIf(!TOOLS)('the boot loader', () => {
  it('is entered by a message in limp, after its answer', () => {
    plugged();
    expect(prop.ask(TYPE.boot)).toBe(RESULT.done);
    expect(prop.machine.bootLoader).toBeNull();
    // What is asked while it waits does not move it.
    expect(prop.ask(TYPE.rouse, 10_000)).not.toBe(RESULT.done);
    prop.run(100_000);
    expect(prop.machine.bootLoader).toBe(1 << LAMP_PIN);
    expect(prop.machine.cable.open).toBe(false);
    prop.run(1_000_000);
    expect(prop.machine.bites).toBe(0);
  });

  it('is not entered in motion, by a message or by a touch at 1,200 baud', () => {
    plugged();
    prop.wake();
    expect(prop.ask(TYPE.boot)).toBe(RESULT.notNow);
    prop.machine.cable.ask(lineCoding(1200), lineState(false));
    prop.run(200_000);
    expect(prop.machine.bootLoader).toBeNull();
    expect(prop.until('holding')).toContain('holding');
  });

  it('is entered in limp by a touch at 1,200 baud, and not by closing at another', () => {
    plugged();
    prop.machine.cable.ask(lineState(false), lineState(true));
    prop.run(200_000);
    expect(prop.machine.bootLoader).toBeNull();
    prop.machine.cable.ask(lineCoding(1200), lineState(false));
    prop.run(200_000);
    expect(prop.machine.bootLoader).toBe(1 << LAMP_PIN);
  });
});
