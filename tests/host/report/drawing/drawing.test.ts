import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { drawingFile } from '../../../../host/report/drawing/drawing.ts';
import { widthOfText, wrap } from '../../../../host/report/drawing/notes.ts';
import { LINEAR, OWL, rigOf, swap } from '../../rig/owl.ts';
import { boxesOf, overlaps } from './boxes.ts';

const file = (path: string): string => readFileSync(new URL(`../../../../${path}`, import.meta.url), 'utf8');
const JOINTS_ONLY = `rig: two-joints
servos:
  face: { stall_torque_kgcm: 2.4, no_load_s_per_60deg: 0.12, stall_current_a: 0.5, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] }
joints:
  lid: { servo: face, pin: 3, limit_deg: [0, 55], speed_deg_s: 300, accel_deg_s2: 3000 }
rest: on_stop
`;
/** Joints where hands put them: not on a ring, and not in a plane. */
const POINTS = swap(OWL, [
  'moving: { radius_mm: 55, half_angle_deg: 46 }',
  'moving: { points_mm: [[38, -40, 0], [38, 40, 0], [15, 53, 2], [-53, 13, 0], [-53, -13, 0], [15, -53, 0]] }',
]);

const TEXTS = {
  demo: file('host/demo/night-owl.yaml'),
  'bare demo': file('host/demo/night-owl-bare.yaml'),
  'a stork': file('tests/data/stork.yaml'),
  'a stork with names that are long': file('tests/data/stork.yaml').replaceAll('lid_left', 'WWWWWWWWWWWWWWWWWWWWWWWM'),
  actuators: LINEAR,
  'points by hand': POINTS,
  'joints only': JOINTS_ONLY,
};
const SVGS = Object.entries(TEXTS).map(([name, text]) => [name, drawingFile(rigOf(text))] as const);
const SIZES = { title: 26, heading: 18, note: 13 };
const wordsOf = (svg: string): string =>
  boxesOf(svg, SIZES)
    .map(({ words }) => words)
    .join(' ')
    .replaceAll('\u00a0', ' ');
const drawn = (name: string): string => wordsOf(SVGS.find(([it]) => it === name)?.[1] ?? '');

describe.each(SVGS)('the drawing of %s', (_, svg) => {
  const boxes = boxesOf(svg, SIZES);

  test('no words overlap others, and all stand within it', () => {
    const [, width = '', height = ''] = /viewBox="0 0 (\S+) (\S+)"/.exec(svg) ?? [];
    expect(boxes.length).toBeGreaterThan(8);
    expect(boxes).toHaveLength(svg.match(/<text/g)?.length ?? 0);
    expect(overlaps(boxes)).toEqual([]);
    for (const box of boxes) {
      expect(box.left, box.words).toBeGreaterThanOrEqual(0);
      expect(box.right, box.words).toBeLessThanOrEqual(Number(width));
      expect(box.bottom, box.words).toBeLessThanOrEqual(Number(height));
    }
  });

  test('stands alone: no script, nothing fetched, nothing undefined', () => {
    expect(svg.replace('xmlns="http://www.w3.org/2000/svg"', '')).not.toMatch(
      /<script|<link|@import|https?:|href=|url\(/,
    );
    expect(svg).not.toMatch(/NaN|Infinity|undefined|\[object/);
    expect(svg).toMatch(/prefers-color-scheme: dark/);
  });
});

test('two words in one place are found to overlap', () => {
  const text = '<text class="note" x="10" y="20" text-anchor="start">one</text>';
  expect(overlaps(boxesOf(text + text.replace('x="10"', 'x="25"').replace('one', 'two'), SIZES))).toEqual([
    'one / two',
  ]);
});

test('the owl’s dimensions are those of its file', () => {
  const words = drawn('demo');
  for (const [what, value] of [
    ['base: radius', '70 mm'],
    ['base: half angle', '14 deg'],
    ['moving plate: radius', '55 mm'],
    ['moving plate: half angle', '46 deg'],
    ['crank, axis to rod end:', '22 mm, 0.006 kg'],
    ['rod, stud to stud:', '120 mm, 0.014 kg'],
    ['rod ends tilt by up to', '28 deg'],
    ['pivot', '[0, 0, 40] mm from the moving plate'],
    ['rest:', 'z −8 mm from home'],
    ['mount:', '[30, 0, 55] mm, roll 0, pitch 90, yaw 0 deg, on nod'],
    ['leg1:', 'pin 2, servo neck, longer pulse to minus'],
    ['leg2:', 'pin 3, servo neck, longer pulse to plus'],
    ['nod:', 'pin 8, servo neck, axis at [0, 0, 0] mm; plus: what is in front goes up'],
    ['counterweight:', '0.7 kg, on nod, at [−190, 0, 55] mm'],
    ['lid:', 'pin 9, at [−16, 0, 50] mm'],
  ])
    expect(words).toContain(`${what} ${value}`);
  // Chords of circles: 2·70·sin 14°, 2·70·sin 46°; 2·55·sin 46°, 2·55·sin 14°.
  expect(words).toContain('leg1 to leg2 33.87 mm, leg2 to leg3 100.71 mm');
  expect(words).toContain('leg1 to leg2 79.13 mm, leg2 to leg3 26.61 mm');
});

test('plus about y turns what is in front down, about minus y up', () => {
  expect(drawn('a stork')).toContain('plus: what is in front goes down');
});

test('an actuator has its stroke and its way of plus', () => {
  const words = drawn('actuators');
  expect(words).toContain('stroke, pin to pin: 250 mm to 350 mm');
  expect(words).toContain('plus: the actuator grows longer');
  expect(words).toContain('home height, base to moving plate: 250 mm');
});

test('joints by hand are told one by one', () => {
  expect(drawn('points by hand')).toContain('moving plate, leg3: [15, 53, 2] mm');
  expect(drawn('points by hand')).not.toContain('moving plate: radius');
});

test('a rig of joints says what is drawn and what is not', () => {
  expect(drawn('joints only')).toMatch(/joints only, no platform.*Nothing of this rig has a place in space/);
});

test('a word no line holds is broken, and nothing of it is lost', () => {
  const lines = wrap('a'.repeat(100), 100);
  expect(lines.join('')).toBe('a'.repeat(100));
  expect(Math.max(...lines.map((line) => widthOfText(line, 13)))).toBeLessThanOrEqual(100);
});
