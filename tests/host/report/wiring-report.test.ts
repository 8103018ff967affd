import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { renderWiringReport } from '../../../host/report/wiring-report.ts';
import { wiring } from '../../../host/wiring/wiring.ts';
import { rigOf, swap } from '../rig/owl.ts';
import { faultsOf, textOf } from './whole.ts';

const OWL = readFileSync('host/demo/night-owl.yaml', 'utf8');
const BATTERY = swap(OWL, [
  '{ kind: mains, voltage_v: 6.0, current_a: 20 }',
  '{ kind: battery, voltage_v: unknown, current_a: 20, cells: 2, low_v: 5, fuse_a: 20 }',
]);
const BARE = OWL.replace(', stop: { pin: 20, category: 1 }, power_pin: 21', '').replaceAll(
  /^ +stall_current_a.*\n/gm,
  '',
);

function page(text: string): string {
  const answer = wiring(rigOf(text), { trunk_m: 1, branch_m: 0.5 }, null);
  if ('refused' in answer) throw new Error(JSON.stringify(answer.refused));
  return renderWiringReport(answer);
}
const count = (html: string, what: RegExp): number => [...html.matchAll(what)].length;
const pinsOf = (html: string): (string | undefined)[] =>
  [...html.matchAll(/data-pin="([^"]*)"/g)].map(([, name]) => name);

describe.each([
  ['a rig on mains', OWL],
  ['a rig on a battery that is watched', BATTERY],
  ['a rig without stop, power pin and currents', BARE],
])('the page of %s', (_, text) => {
  it('is whole and stands alone', () => {
    expect(faultsOf(page(text))).toEqual([]);
  });
});

describe('the drawing', () => {
  const owl = page(OWL);

  it('has every pin once', () => {
    const servos = Array.from({ length: 10 }, (_, i) => `GPIO ${String(i + 2)}`);
    expect(pinsOf(owl)).toEqual(['GPIO 21', ...servos, 'GPIO 20', 'VSYS', 'GND', 'usb']);
    expect(pinsOf(page(BATTERY))).toContain('GPIO 28');
  });

  it('has a motor, a fuse and a pull-down a servo, and the switches of the loop', () => {
    expect([count(owl, /<g class="motor"/g), count(owl, /<g class="fuse"/g)]).toEqual([10, 11]);
    expect([count(owl, /<g class="resistor"/g), count(owl, /<g class="contact break"/g)]).toEqual([11, 1]);
    expect(count(owl, /<g class="contact make"/g)).toBe(2);
  });

  it('leaves out what the rig does not have, and says unknown where it does not know', () => {
    const bare = page(BARE);
    expect(count(bare, /<g class="contact break"/g)).toBe(0);
    expect(pinsOf(bare)).not.toContain('GPIO 20');
    expect(textOf(bare)).toMatch(/W1 RD \? mm².*unknown/);
    expect(textOf(bare)).toMatch(/no board\.stop.*no board\.power_pin/);
  });

  it('runs wires straight: across or down', () => {
    for (const [, d = ''] of owl.matchAll(/class="wire[^"]*" d="([^"]*)"/g)) {
      const points = d
        .slice(1)
        .split('L')
        .map((point) => point.split(' ').map(Number));
      for (const [i, [x, y]] of points.slice(1).entries())
        expect(x === points[i]?.[0] || y === points[i]?.[1], d).toBe(true);
    }
  });
});

it('a rig’s names are text, whatever they hold', () => {
  const html = page(swap(OWL, ['rig: night-owl', `rig: ${JSON.stringify('<b>&"owl"')}`]));
  expect(html).not.toContain('<b>&');
});

it('has a box to tick for every line before first power, and defers to local codes', () => {
  const text = textOf(page(OWL));
  expect(text).toMatch(/Before first power/);
  expect(text).toMatch(/Local codes .* licensed practice/);
});
