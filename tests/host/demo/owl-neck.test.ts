import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { reach } from '../../../host/reach/reach.ts';
import { readRig } from '../../../host/rig/read.ts';
import { HOME, toDeg } from '../../../host/rig/rig.ts';
import { OWL_TEXT, wantOf } from '../design/want/wants.ts';

const TEXT = readFileSync(new URL('../../../host/demo/owl-neck.yaml', import.meta.url), 'utf8');

it('the owl’s neck is asked for 8 deg more yaw than the owl has, both ways', () => {
  const options = { at: HOME, planes: [], box: null, samples: 0, seed: 1, sensitivity: false };
  const yaw = reach(readRig(OWL_TEXT).rig!, options).axes[5]!;
  const { minus, plus } = wantOf(TEXT).must.travel[5]!;
  expect(toDeg(plus) - yaw.plus).toBeCloseTo(8, 1);
  expect(toDeg(minus) - yaw.minus).toBeCloseTo(-8, 1);
});
