/** The worked frames of boards/LINK.md say what they are said to say: decoded by the libraries, made anew by both sides. */
import { readFileSync } from 'node:fs';
import { decode } from 'cobs';
import crc16 from 'crc/calculators/crc16ccitt';
import { expect, it } from 'vitest';
import { instantiateController } from '../../host/controller/controller.ts';
import { RESULT, TYPE, parseAnswer, parseIAm, sender } from '../../host/controller/messages.ts';
import { WASM } from '../assembly/prop.ts';

const frames = [...readFileSync('boards/LINK.md', 'utf8').matchAll(/^ {4}((?:[0-9a-f]{2} )+00)$/gm)].map(([, hex]) =>
  Uint8Array.from((hex ?? '').split(' '), (byte) => parseInt(byte, 16)),
);

/** Type, sequence and payload by the libraries; the CRC has been checked. */
function opened(wire: Uint8Array): { type: number; sequence: number; payload: DataView } {
  const raw = Uint8Array.from(decode(wire.subarray(0, -1)));
  const body = raw.subarray(0, -2);
  expect(crc16(body)).toBe(raw.at(-2)! + (raw.at(-1)! << 8));
  return { type: raw[0]!, sequence: raw[1]!, payload: new DataView(raw.buffer, 2, body.length - 2) };
}

it('there are six', () => {
  expect(frames.length).toBe(6);
});

it('the host makes its four to the byte', () => {
  const send = sender();
  const made = [
    send.command(TYPE.who),
    send.command(TYPE.rouse),
    send.pose(1_000_000, Float64Array.of(0, 2.5, 0, 0, 0, 0.125, 0.25, NaN), 6),
    send.report(4),
  ];
  expect(made.map((wire) => [...wire])).toEqual(frames.slice(0, 4).map((wire) => [...wire]));
});

it('the controller answers with the other two', () => {
  const controller = instantiateController(WASM);
  controller.init({ board: 3, pins: 16 });
  const heard: number[][] = [];
  for (const wire of frames.slice(0, 2)) {
    controller.receive(wire);
    controller.tick();
    controller.drain((bytes) => heard.push([...bytes]));
  }
  const told = heard.map((bytes) => bytes.slice(bytes.findIndex((byte) => byte !== 0)));
  expect(told).toEqual(frames.slice(4).map((wire) => [...wire]));
});

it('the pose stands where the table says', () => {
  const { type, sequence, payload } = opened(frames[2]!);
  expect([type, sequence, payload.byteLength]).toEqual([5, 2, 36]);
  expect(payload.getUint32(0, true)).toBe(1_000_000);
  expect(payload.getUint16(4, true)).toBe(1 << 6);
  expect([12, 28, 32].map((at) => payload.getFloat32(at, true))).toEqual([2.5, 0.125, 0.25]);
});

it('the answers parse', () => {
  expect(parseIAm(opened(frames[4]!).payload)).toMatchObject({
    protocol: 1,
    board: 3,
    pins: 16,
    state: 0,
    fingerprint: 0,
    now_us: 5000,
    tick_hz: 200,
  });
  expect(parseAnswer(opened(frames[5]!).payload)).toEqual({ type: TYPE.rouse, sequence: 1, result: RESULT.noRig });
});
