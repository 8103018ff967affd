/** Tables in the several habits of whatever records a shake; the headings are our own. */
import { describe, expect, it } from 'vitest';
import { readShake } from '../../../../host/physics/vibration/shake-file.ts';
import { wobbleOfShake } from '../../../../host/physics/vibration/shake.ts';

const HZ = 2.8;
const DAMPING = 0.04;
const swing = (t: number): number => {
  const w = 2 * Math.PI * HZ;
  const ring = t < 1 ? 0 : 3 * Math.exp(-DAMPING * w * (t - 1)) * Math.sin(w * Math.sqrt(1 - DAMPING ** 2) * (t - 1));
  return ring + 0.01 * Math.sin(997 * t * t);
};
const rows = (line: (t: number, a: number, i: number) => string, count = 600, rate = 100): string =>
  Array.from({ length: count }, (_, i) => line(i / rate, swing(i / rate), i)).join('\n');
const f = (value: number): string => value.toFixed(6);
const comma = (value: number): string => f(value).replace('.', ',');

const TABLES: [string, string, string][] = [
  [
    'seconds and three axes',
    `"t, s","shake ahead, m/s2","shake left, m/s2","shake up, m/s2"\n${rows((t, a) => `${f(t)},${f(0.1 * a)},${f(a)},${f(9.81 + 0.2 * a)}`)}`,
    'shake left, m/s2',
  ],
  [
    'semicolons and decimal commas',
    `Zeit [s];ax;ay\r\n${rows((t, a) => `${comma(t)};${comma(a)};${comma(0.05 * a)}`).replaceAll('\n', '\r\n')}\r\n`,
    'ax',
  ],
  [
    'tabs, milliseconds without a word of it, no heading',
    rows((t, a) => `${(1000 * t).toFixed(1)}\t${f(a)}`),
    'column 2',
  ],
  [
    'nanoseconds since 1970 beside seconds from the start',
    `clock_ns,t_s,up,left,ahead\n${rows((t, a) => `${String(1.7e18 + t * 1e9)},${f(t)},${f(a)},${f(0.1 * a)},0`)}`,
    'up',
  ],
  ['a count of the rows before the seconds', `row,t_s,up\n${rows((t, a, i) => `${i},${f(t)},${f(a)}`)}`, 'up'],
  [
    'a size of the whole beside its parts',
    `t_ms,ax,abs\n${rows((t, a) => `${f(1000 * t)},${f(a)},${f(3 * Math.abs(a))}`)}`,
    'ax',
  ],
  [
    'instants as a calendar has them',
    `timestamp;angle\n${rows((t, a) => `${new Date(1.7e12 + 1000 * t).toISOString()};${f(a)}`)}`,
    'angle',
  ],
  [
    'a line of units, comments, blank lines, a torn end, instants twice',
    `\uFEFF# shaken by hand\nt,ang\ns,deg\n\n${rows((t, a, i) => `${f(i % 50 === 7 ? t - 0.01 : t)},${f(a)}`)}\n6.0`,
    'ang',
  ],
];

describe('a table', () => {
  it.each(TABLES)('with %s', (_, text, column) => {
    const reading = readShake(text);
    if ('problem' in reading) expect.fail(reading.problem);
    expect(reading.record.t_s[0]).toBe(0);
    expect(reading.record.t_s.at(-1)).toBeCloseTo(5.99, 6);
    const shake = wobbleOfShake(reading.record);
    if ('problem' in shake) expect.fail(shake.problem);
    expect(shake.column).toBe(column);
    expect(shake.hz).toBeCloseTo(HZ, 1);
    expect(Math.abs(shake.damping - DAMPING)).toBeLessThan(0.003);
  });
});

describe('no shake: words', () => {
  it.each([
    ['nothing', '', /found 0 rows/],
    ['a letter', 'Dear Sir,\nthank you for the owl.\nIt wobbles.\n', /found 0 rows/],
    ['no times', rows((_, a) => `${f(a)},${f(-a)}`), /no column of times/],
    ['times alone', rows((t) => `${f(t)},7`), /nothing measured/],
    [
      'times in days',
      `t,a\n${rows((t, a) => `${(t / 8640).toExponential(6)},${f(a)}`)}`,
      /neither seconds nor milliseconds/,
    ],
    [
      'mostly words',
      `t,a\n${rows((t, a, i) => (i % 3 ? `${f(t)},${f(a)}` : `${f(t)},lost`))}`,
      /numbers in|no column|nothing measured/,
    ],
    ['one row', 't,a\n1,2\n', /found 1 row /],
  ])('%s', (_, text, words) => {
    expect(readShake(text)).toEqual({ problem: expect.stringMatching(words) });
  });
});
