/** The bill of material: what there is to buy, how many, how large. */
import { counted, short } from '../rig/words.ts';
import type { Item, Run, WiringAnswer } from './result.ts';

/** Sizes in shops, µF and V (E6 decades, common practice). */
const CAPACITORS_UF = [1000, 2200, 4700, 10_000, 22_000];
const CAPACITORS_V = [6.3, 10, 16, 25, 35, 50, 63, 100];

/** For each servo, µF; and the voltage it is made for above the supply's: common practice. */
const UF_A_SERVO = 470;
const VOLTS_OVER = 1.5;

/** The smoothing capacitor at the star point: the size next above 470 µF a servo (common practice), in µF, and its rated voltage in V; null: the supply’s is unknown. */
export function capacitorFor(servos: number, voltage_v: number | null): WiringAnswer['capacitor'] {
  const uf = CAPACITORS_UF.find((size) => size >= servos * UF_A_SERVO) ?? CAPACITORS_UF.at(-1)!;
  const volts = voltage_v === null ? null : (CAPACITORS_V.find((size) => size >= voltage_v * VOLTS_OVER) ?? null);
  return { uf, volts };
}

const sized = (value: number | null, unit: string): string =>
  value === null ? 'unknown' : `${short(value, 2)} ${unit}`;

/** Equal sizes together, in the order they come. */
function grouped(name: string, unit: string, sizes: readonly (number | null)[]): Item[] {
  return [...new Set(sizes)].map((size) => ({
    name,
    count: sizes.filter((other) => other === size).length,
    size: sized(size, unit),
  }));
}

/** Two conductors of each run. */
function wireItems(runs: readonly Run[]): Item[] {
  return [...new Set(runs.map(({ mm2 }) => mm2))].flatMap((mm2) => {
    const metres = runs.filter((run) => run.mm2 === mm2).reduce((sum, { length_m }) => sum + length_m, 0);
    const each_m = Math.ceil(metres * 10) / 10;
    return [
      { name: 'stranded copper wire RD and BK', count: 2, size: `${sized(mm2, 'mm²')}, ${String(each_m)} m each` },
    ];
  });
}

export const PULL_DOWN_KOHM = 10;

/** A pico's cable is one that is bought; the serial port of a board needs an adapter at the computer's end. */
function linkItems(link: WiringAnswer['link']): Item[] {
  if (link === 'usb')
    return [
      {
        name: 'USB cable of the link, with data wires, not one that only charges',
        count: 1,
        size: '5 V stays in it only with V1 fitted',
      },
    ];
  return [
    {
      name: 'UART adapter: turns a USB plug of the computer into a serial port with pins TX, RX and GND',
      count: 1,
      size: 'levels of 3.3 V, never 5 V; 500,000 baud',
    },
    { name: 'cable of the link', count: 1, size: 'serial, 3 wires: send, receive, ground' },
  ];
}

/** The bill of material: name, count and size of everything to buy, for all runs together. */
export function partsOf(answer: Omit<WiringAnswer, 'parts' | 'cautions' | 'checklist' | 'notes'>): Item[] {
  const { servos, trunk, power, stop, measure, capacitor, supply, link, night } = answer;
  const one = (name: string, size: string): Item => ({ name, count: 1, size });
  const pulls = servos.length + (power ? 1 : 0);
  return [
    one(
      supply.kind === 'battery' ? 'battery' : 'mains supply with extra-low, isolated output (SELV or PELV)',
      `${sized(supply.voltage_v, 'V')}, at least ${sized(trunk.stalled_a, 'A')}`,
    ),
    one('main fuse F0 with holder', sized(trunk.fuse_a, 'A')),
    ...grouped(
      'blade fuse with holder',
      'A',
      servos.map(({ fuse_a }) => fuse_a),
    ),
    ...(power
      ? [one('power switch Q1, opens without signal, for direct current', `at least ${sized(trunk.stalled_a, 'A')}`)]
      : []),
    one('hand-operated isolator S0', `at least ${sized(trunk.stalled_a, 'A')}, direct current`),
    ...(stop
      ? [one('stop button S1, normally closed, positively opening (IEC 60947-5-1), latching', 'contact for signals')]
      : []),
    one('electrolytic capacitor C1, low ESR', `${String(capacitor.uf)} µF, ${sized(capacitor.volts, 'V')}`),
    { name: 'pull-down resistor', count: pulls, size: `${String(PULL_DOWN_KOHM)} kΩ` },
    ...(measure
      ? [
          one('resistor R20', `${String(measure.upper_kohm)} kΩ, 1 %`),
          one('resistor R21', `${String(measure.lower_kohm)} kΩ, 1 %`),
          one('capacitor C2', '100 nF'),
        ]
      : []),
    one(
      `regulated logic supply G2, its own converter${link === 'usb' ? '; with V1 only if the board is to run without the computer' : ''}`,
      '5 V, 0.5 A',
    ),
    ...night.map(({ what, goes_to }) => one(`night, ${what}`, goes_to)),
    one('Schottky diode V1', '1 A, 20 V'),
    ...linkItems(link),
    one('star point X1 and X2, terminal rail', counted(servos.length + 4, 'place')),
    ...wireItems([trunk, ...servos]),
    one('control wires RD, BK, YE', '0.5 mm²: logic supply, common ground, stop loop'),
    one(
      'signal wire OG',
      `0.14 mm², ${String(Math.ceil(servos.reduce((sum, { length_m }) => sum + length_m, 0) * 10) / 10)} m`,
    ),
  ];
}
