/** The JSON Schema tells of every key what it is, how to measure it and what is usual. */
import { describe, expect, it } from 'vitest';
import { type SchemaNode, entryOf, propertiesOf } from '../../../host/rig/describe.ts';
import { KEY_WORDS } from '../../../host/rig/key-words.ts';
import { rigSchemaJson } from '../../../host/rig/read.ts';

const schema = JSON.parse(JSON.stringify(rigSchemaJson())) as SchemaNode;
const all = [...propertiesOf(schema)].map(([path, { description }]) => ({
  at: path.join('.'),
  key: path.at(-1) ?? '',
  path,
  description: description ?? '',
}));

/** The unit that the end of a key's name says, as its description must. Longest first. */
const UNITS: readonly (readonly [string, RegExp])[] = [
  ['_kgmm2', /kg·mm²/],
  ['_kgm2', /kg·m²/],
  ['_nm_rad', /N·m\/rad/],
  ['_deg_s2', /deg\/s²/],
  ['_mm_s2', /mm\/s²/],
  ['_deg_s', /deg\/s/],
  ['_mm_s', /mm\/s/],
  ['us_per_deg', /us per degree/],
  ['us_per_mm', /us per mm/],
  ['_s_per_60deg', /\bs\b/],
  ['_kgcm', /kgf·cm/],
  ['_ozin', /ozf·in/],
  ['_nm', /N·m/],
  ['_percent', /percent/],
  ['_deg', /\bdeg\b/],
  ['_mm', /\bmm\b/],
  ['_kg', /\bkg\b/],
  ['_us', /\bus\b/],
  ['_ms', /\bms\b/],
  ['_hz', /\bHz\b/],
  ['hz', /\bHz\b/],
  ['_a', /\bA\b/],
  ['_v', /\bV\b/],
  ['_n', /\bN\b/],
  ['_s', /\bs\b/],
  ['baud', /baud/],
  ['_ratio', /no unit/],
  ['_efficiency', /no unit/],
  ['_use', /no unit/],
  ['damping', /no unit/],
  ['cells', /a count/],
];
const unitOf = (key: string): RegExp | undefined => UNITS.find(([end]) => key.endsWith(end))?.[1];

describe('every property of the schema', () => {
  it('is found: platform, parts, servos, joints, motion, supply and board', () => {
    const keys = all.map(({ at }) => at);
    expect(keys.length).toBeGreaterThan(150);
    for (const at of ['platform.stroke_mm', 'parts.*.shape.box.size_mm', 'servos.*.at_v.*.force_n', 'joints.leg.pin'])
      expect(keys).toContain(at);
  });

  it('says what it is, in more words than what it takes', () => {
    const without = all.filter(({ path }) => entryOf(path) === undefined).map(({ at }) => at);
    expect(without).toEqual([]);
    for (const { at, description } of all) expect(description, at).toMatch(/^[^.]{8,}.*\.$/u);
  });

  it('names its unit', () => {
    for (const { at, key, description } of all) {
      const unit = unitOf(key);
      if (unit) expect(description.replace(/Takes .*/, ''), at).toMatch(unit);
    }
  });

  it('with a figure says how to measure it, and what is usual, marked as such', () => {
    const measured = all.filter(
      ({ key }) => unitOf(key) && !['baud', 'within_percent', 'accel_gone_at_deg_s'].includes(key),
    );
    expect(measured.length).toBeGreaterThan(90);
    for (const { at, description } of measured) {
      expect(description, at).toMatch(/Measure: \S.+\./);
      expect(description, at).toMatch(/Typical: \S.+ \(usual, not measured\)\./);
    }
  });
});

it('no text is there for a key that the schema does not have', () => {
  const used = new Set(all.map(({ path }) => entryOf(path)));
  expect([...KEY_WORDS.keys()].filter((key) => !used.has(key))).toEqual([]);
});

it('figures of usual.ts stand in the schema as they stand there', () => {
  expect(all.find(({ at }) => at === 'platform.base.radius_mm')?.description).toContain('Typical: 15 to 600 mm (usual');
});
