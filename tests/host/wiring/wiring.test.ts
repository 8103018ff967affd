import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { renderCard } from '../../../host/report/card-page.ts';
import { cardSheet } from '../../../host/report/drawing/card-sheet.ts';
import { renderWiringReport } from '../../../host/report/wiring-report.ts';
import { cardOf, linesWords } from '../../../host/shows/card.ts';
import type { WiringAnswer } from '../../../host/wiring/result.ts';
import { wiring } from '../../../host/wiring/wiring.ts';
import { storeStream } from '../../../host/stream/store.ts';
import { JOINTS_ONLY, rigOf, swap } from '../rig/owl.ts';

const LENGTHS = { trunk_m: 1, branch_m: 0.5 };
const OWL = readFileSync('host/demo/night-owl.yaml', 'utf8');

function answerOf(text: string, lengths = LENGTHS): WiringAnswer {
  const answer = wiring(rigOf(text), lengths, null);
  if ('refused' in answer) throw new Error(JSON.stringify(answer.refused));
  return answer;
}

function refusedOf(text: string): string[] {
  const answer = wiring(rigOf(text), LENGTHS, null);
  return 'refused' in answer ? answer.refused.map(({ path, message }) => `${path} ${message}`) : [];
}

const owl = answerOf(OWL);

describe('an owl of seven strong servos and three small ones on 6 V', () => {
  it('draws 7 · 2.3 A + 3 · 0.8 A stalled, and 0.8 of it moving', () => {
    expect(owl.trunk.stalled_a).toBeCloseTo(18.5, 9);
    expect(owl.trunk.moving_a).toBeCloseTo(14.8, 9);
    expect(owl.servos.map(({ stalled_a }) => stalled_a)).toEqual([...Array<number>(7).fill(2.3), 0.8, 0.8, 0.8]);
  });

  it('has fuses above what moves, and wires that bear their fuse and lose 2.5 % each', () => {
    expect([owl.ok, owl.troubles, owl.trunk.fuse_a, owl.trunk.mm2]).toEqual([true, [], 15, 6]);
    for (const { fuse_a, moving_a, stalled_a, bears_a, drop_v } of [owl.trunk, ...owl.servos]) {
      expect(fuse_a).toBeGreaterThanOrEqual(moving_a!);
      expect(bears_a).toBeGreaterThanOrEqual(Math.max(fuse_a!, stalled_a!));
      expect(drop_v).toBeLessThanOrEqual(0.15);
    }
  });

  it('names every pin, cable and joint once', () => {
    const pins = [...owl.servos.map((run) => run.pin_name), owl.stop?.pin_name, owl.power?.pin_name];
    expect(new Set(pins).size).toBe(12);
    expect(owl.servos.map(({ label }) => label)).toEqual(Array.from({ length: 10 }, (_, i) => `W${String(i + 1)}`));
    expect(owl.stop).toEqual({ pin: 20, pin_name: 'GPIO 20', category: 1 });
  });

  it('counts its parts: a fuse and a pull-down a servo, one of those more for the power pin', () => {
    const count = (name: string): number =>
      owl.parts.filter((part) => part.name === name).reduce((sum, part) => sum + part.count, 0);
    expect(count('blade fuse with holder')).toBe(10);
    expect(count('pull-down resistor')).toBe(11);
    expect(owl.checklist.filter((line) => /^W\d+:/.test(line))).toHaveLength(10);
  });
});

it('a stream that asks for more than peak_use allows raises the moving current', async () => {
  const weak = rigOf(OWL.replaceAll('peak_use: 0.8 ', 'peak_use: 0.51 '));
  const stored = await storeStream([readFileSync('host/demo/dusk.csv')], weak);
  const answer = wiring(weak, LENGTHS, { name: 'dusk', stored });
  if ('refused' in answer) throw new Error('refused');
  const still = answerOf(OWL.replaceAll('peak_use: 0.8 ', 'peak_use: 0.51 '));
  expect(answer.trunk.moving_a).toBeGreaterThan(still.trunk.moving_a!);
  expect(answer.trunk.moving_a).toBeLessThanOrEqual(still.trunk.stalled_a!);
});

it('a wire bears its fuse, where that is more than what is drawn', () => {
  const fused = swap(OWL, ['voltage_v: 6.0, current_a: 20 }', 'voltage_v: 6.0, current_a: 20, fuse_a: 25 }']);
  const short = { trunk_m: 0.2, branch_m: 0.5 };
  // 4 mm² bears 24 A, which is more than the 18.5 A drawn and less than the fuse.
  expect([answerOf(OWL, short).trunk.mm2, answerOf(fused, short).trunk.mm2]).toEqual([4, 6]);
});

describe('what does not fit', () => {
  it('is a trunk so long that no wire will do', () => {
    const { ok, troubles, trunk } = answerOf(OWL, { trunk_m: 3, branch_m: 0.5 });
    expect([ok, trunk.mm2]).toEqual([false, null]);
    expect(troubles.join()).toMatch(/W0, .*even 6 mm².*3 m/);
  });

  it('is a supply that gives less than all draw', () => {
    expect(answerOf(swap(OWL, ['current_a: 20 }', 'current_a: 10 }'])).troubles.join()).toMatch(/18.5 A, .*10 A/);
  });

  it('is the given main fuse when it is too small', () => {
    const small = swap(OWL, [
      '{ kind: mains, voltage_v: 6.0, current_a: 20 }',
      '{ kind: battery, voltage_v: 6.0, current_a: 20, cells: 2, low_v: 5, fuse_a: 5 }',
    ]);
    const { trunk, troubles, measure } = answerOf(small);
    expect(trunk.fuse_a).toBe(5);
    expect(troubles.join()).toMatch(/a fuse of 5 A blows while it moves/);
    expect(measure).toEqual({ pin_name: 'GPIO 28', upper_kohm: 10, lower_kohm: 2.2 });
  });
});

describe('what is unknown', () => {
  it('stays so: without a servo’s current neither its fuse nor the main one', () => {
    const { ok, unknown, trunk, servos } = answerOf(swap(OWL, ['    stall_current_a: 0.8\n', '']));
    expect([ok, trunk.fuse_a, trunk.mm2, servos[9]?.fuse_a, servos[0]?.fuse_a]).toEqual([false, null, null, null, 2]);
    expect(unknown.join()).toMatch(/stall_current_a of face/);
  });

  it('is the voltage: wires by what they bear alone', () => {
    const { unknown, capacitor } = answerOf(swap(OWL, ['voltage_v: 6.0', 'voltage_v: unknown']));
    expect(capacitor.volts).toBeNull();
    expect(unknown.join()).toMatch(/supply.voltage_v/);
  });
});

describe('refuses', () => {
  it('a rig without board and supply, naming both', () => {
    expect(refusedOf(JOINTS_ONLY.replace(/^(supply|board):.*\n/gm, ''))).toEqual([
      expect.stringMatching(/^board is missing/),
      expect.stringMatching(/^supply is missing/),
    ]);
  });

  it('a board without pins, and one that is not known', () => {
    const on = (kind: string): string[] => refusedOf(swap(OWL, ['kind: pico', `kind: ${kind}`]));
    expect(on('native')).toEqual([expect.stringMatching(/^board.kind found native.*pico and f405/)]);
    expect(on('toaster')).toEqual([expect.stringMatching(/^board.kind found toaster/)]);
  });

  it('a pin that the board does not have', () => {
    expect(refusedOf(swap(OWL, ['pin: 11', 'pin: 19'])).join()).toMatch(/joints.ears.pin found 19/);
  });
});

it('names the pins of an f405 as its data sheet does', () => {
  const { servos, stop, power } = answerOf(swap(OWL, ['kind: pico', 'kind: f405']));
  // DS8626, table 9: TIM5 on PA0 to PA3, TIM2 on PA5, PB3, PB10; as boards/f405/board_config.h has them.
  expect(servos.slice(0, 7).map(({ pin_name }) => pin_name)).toEqual([
    'PA0',
    'PA1',
    'PA2',
    'PA3',
    'PA5',
    'PB3',
    'PB10',
  ]);
  expect([stop?.pin_name, power?.pin_name]).toEqual(['PC2', 'PC3']);
});

describe('the link', () => {
  const uart0 = answerOf(swap(OWL, ['kind: pico', 'kind: pico, link: uart0']));
  const named = ({ parts }: WiringAnswer, what: RegExp): string[] =>
    parts.filter(({ name }) => what.test(name)).map(({ size }) => size);

  it('says how to keep a USB plug dead, whichever cable it is', () => {
    expect(owl.notes.join()).toMatch(/USB back-feed: V1 keeps/);
    expect(owl.checklist.join()).toMatch(/the plug carries no 5 V/);
    expect(uart0.notes.join()).toMatch(/USB back-feed: if a USB cable/);
  });

  it('takes an adapter at the serial port alone, and says what that is', () => {
    expect([named(owl, /adapter/i), named(owl, /^USB cable/)]).toEqual([[], [expect.stringMatching(/^5 V/)]]);
    expect(named(uart0, /^UART adapter: turns a USB plug.*TX, RX and GND$/)).toEqual([
      'levels of 3.3 V, never 5 V; 500,000 baud',
    ]);
    expect(uart0.checklist.join()).toMatch(/adapter is set to 3.3 V/);
  });

  it('over USB feeds the board, and never a servo', () => {
    expect(owl.notes.join()).toMatch(/fed by the USB cable or G2.*never fed from USB/);
    expect(uart0.notes.join()).toMatch(/the board is fed by G2,/);
  });
});

describe('the lines of a night', () => {
  const owl = readFileSync('host/demo/night/night-owl.yaml', 'utf8');
  const answer = answerOf(owl);

  it('are named by pin, with what each goes to, in the table, what to buy and what to tick', () => {
    expect(answer.night.map(({ what, pin_name, is }) => [what, pin_name, is])).toEqual([
      ['light', 'GPIO 18', 'output'],
      ['warning', 'GPIO 22', 'output'],
      ['button', 'GPIO 19', 'input'],
      ['input step', 'GPIO 27', 'input'],
      ['sound hoot', 'GPIO 26', 'output'],
    ]);
    expect(answer.parts.filter(({ name }) => name.startsWith('night, '))).toHaveLength(5);
    expect(answer.checklist.filter((words) => words.startsWith('Night, '))).toHaveLength(5);
    expect(renderWiringReport(answer)).toMatch(/Lines of the night[^]*sound hoot<\/th><td>GPIO 26/);
  });

  it('are none without a night', () => {
    const plain = answerOf(readFileSync('host/demo/night-owl.yaml', 'utf8'));
    expect(plain.night).toEqual([]);
    expect(renderWiringReport(plain)).not.toContain('Lines of the night');
  });

  it('are on the card: light, warning and button, with the board’s edge pins', () => {
    const rig = rigOf(owl);
    const words = 'light: GPIO 18 (edge pin 24); warning: GPIO 22 (edge pin 29); button: GPIO 19 (edge pin 25).';
    expect(linesWords(cardOf(rig))).toBe(words);
    expect(renderCard(rig, cardOf(rig))).toContain('button: GPIO 19');
    expect(cardSheet(rig, cardOf(rig)).text).toContain('GPIO 22');
  });
});
