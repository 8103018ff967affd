/** Tables as people export them: what is read, and what is said of what is wrong. */
import { expect, it } from 'vitest';
import { readTable } from '../../../../host/bringup/estimate/table.ts';
import { LINEAR } from '../../rig/owl.ts';
import { OWL, rigOfText } from './prop.ts';

const owl = rigOfText(OWL);
const PULSES = 'leg1_us,leg2_us,leg3_us,leg4_us,leg5_us,leg6_us';
const said = (text: string, points = {}): string[] =>
  readTable(text, owl, points).problems.map(({ line, message }) => `${String(line)}: ${message}`);

it('rows with their lines, comments and empty cells left out', () => {
  const text = `# owl, 3 May\n${PULSES},height_mm,tilt_x_deg,tilt_y_deg\n1500,1500,1500,1500,1500,1500,151.2,0.05,-0.1\n\n1512.5,1494,1500,1500,1507,1500,150.9,,0.2\r\n`;
  const { rows, problems } = readTable(text, owl);
  expect(problems).toEqual([]);
  expect(rows!.map(({ line }) => line)).toEqual([3, 5]);
  expect(rows![0]!.plate).toEqual([
    { name: 'height_mm', value: 151.2 },
    { name: 'tilt_x_deg', value: 0.05 },
    { name: 'tilt_y_deg', value: -0.1 },
  ]);
  expect(rows![1]!.plate.map(({ name }) => name)).toEqual(['height_mm', 'tilt_y_deg']);
  expect(rows![1]!.pulses_us).toEqual([1512.5, 1494, 1500, 1500, 1507, 1500]);
});

it('a leg alone needs its own pulse alone', () => {
  const { rows } = readTable('leg2_us,leg2_deg\n1500,0.5\n1600,10.5\n', owl);
  expect(rows!.map(({ legs }) => legs[1])).toEqual([0.5, 10.5]);
  expect(readTable('leg2_us,leg2_mm\n1500,300\n', rigOfText(LINEAR)).rows![0]!.legs[1]).toBe(300);
});

it('bad cells, all at once, with their lines', () => {
  const text = `${PULSES},height_mm\n1500,1500,1500,1500,1500,1500,tall\n1500,1500,2600,1500,1500,1500,150\n1500,,1500,1500,1500,1500,150\n1500,1500,1500,1500,1500,1500,\n1500,1500,150\n1500,1500,1500,1500,1500,1500,"151,2"\n`;
  expect(readTable(text, owl).rows).toBeNull();
  expect(said(text)).toEqual([
    '2: height_mm: found "tall"; allowed: a number, or nothing where it was not read',
    '2: the row has pulses, and nothing was read',
    '3: leg3_us: found 2600 µs; allowed: 600 to 2400 µs, the servo’s range_us',
    '4: the row has readings, and lacks leg2_us',
    '5: the row has pulses, and nothing was read',
    '6: the row has 3 cells, and the header has 7',
    '7: height_mm: found "151,2" (write a decimal point: 151.2); allowed: a number, or nothing where it was not read',
    '7: the row has pulses, and nothing was read',
  ]);
});

it.each([
  [`${PULSES},hight_mm\n`, /unknown column hight_mm; the nearest known column is height_mm/],
  [`${PULSES},tilt_x\n`, /nearest known column is tilt_x_deg/],
  [`${PULSES},height_mm,height_mm\n`, /stands twice/],
  [`${PULSES},h1_mm\n`, /give h1=x,y,z/],
  ['leg1_us;leg2_us;height_mm\n', /separated by semicolons/],
  ['', /the file is empty/],
  [`${PULSES},height_mm\n`, /no rows/],
  [`${PULSES},tilt_x_deg\n1500,1500,1500,1500,1500,1500,95\n`, /allowed: -90 to 90/],
])('%j', (text, words) => {
  expect(said(text).join('\n')).toMatch(words);
});

it('h1_mm is known where its point is told', () => {
  expect(said(`${PULSES},h1_mm\n1500,1500,1500,1500,1500,1500,150\n`, { h1_mm: [40, 0, 0] })).toEqual([]);
});
