/** A recording of the hand becomes one layer of the take. */
import { expect, it } from 'vitest';
import { Recording } from '../../../../host/stage/take/record.ts';

function recorded(): Recording {
  const recording = new Recording(['yaw_deg']);
  // As a page samples: 60 times a second.
  for (let n = 0; n <= 240; n++) recording.push(n / 60, [n / 6]);
  return recording;
}

it('is what the hand asked, at 50 frames a second, and runs into what was there at both ends', () => {
  const { from_s, samples } = recorded().layer(1, 3, () => -5)!;
  const yaw = samples.get('yaw_deg')!;
  expect(from_s).toBe(1);
  expect(yaw.length).toBe(101);
  expect([yaw[0], yaw[100]]).toEqual([-5, -5]);
  for (let n = 10; n <= 90; n++) expect(yaw[n]).toBeCloseTo(10 * (1 + n / 50), 9);
});

it('is as long as what was recorded, and nothing where nothing was', () => {
  expect(
    recorded()
      .layer(3, 9, () => NaN)!
      .samples.get('yaw_deg')!.length,
  ).toBe(51);
  expect(recorded().layer(5, 9, () => 0)).toBeNull();
  expect(new Recording(['yaw_deg']).layer(0, 1, () => 0)).toBeNull();
});
