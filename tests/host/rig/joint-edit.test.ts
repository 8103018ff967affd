/** Figures of one joint into the text of a rig: entries made, keys taken out, comments kept. */
import { describe, expect, it } from 'vitest';
import { withJointFigures } from '../../../host/rig/joint-edit.ts';
import { OWL } from './owl.ts';

const BY = 'measured by posewright';
const WITHOUT = 'rig: six # mine\nplatform: { crank_mm: 22 }\nrest: on_stop\n';
const BLOCK = `joints:
  leg1:                # the left one
    pin: 2
    walked_deg: [-10, 10]   # by hand
    centre_us: 1510    # trimmed
  leg2: { pin: 3 }
`;

describe('withJointFigures', () => {
  it('makes joints: where the file has none', () => {
    const text = withJointFigures(WITHOUT, { joint: 'leg4', figures: { centre_us: 1512 } }, BY);
    expect(text).toBe(`${WITHOUT}joints:\n  leg4: { sense: 1, centre_us: 1512 }\n`);
  });

  it('makes an entry where the joint has none', () => {
    const text = withJointFigures(BLOCK, { joint: 'leg3', figures: { walked_deg: [-20, 20] } }, BY);
    expect(text).toBe(`${BLOCK}  leg3: { sense: 1, walked_deg: [-20, 20] }\n`);
  });

  it('in block style changes, adds and takes out lines, and keeps the comments of the others', () => {
    const text = withJointFigures(
      BLOCK,
      { joint: 'leg1', figures: { walked_deg: null, centre_us: 1520, limit_deg: [-8, 9] } },
      BY,
    )!;
    expect(text).toMatch(
      /^ {2}leg1: +# the left one\n {4}pin: 2\n {4}centre_us: 1520 .*1510.*\n {4}limit_deg: \[-8, 9\]\n/m,
    );
    expect(text).not.toContain('walked_deg');
    expect(text).toContain('  leg2: { pin: 3 }\n');
  });

  it('takes the only key of an entry out', () => {
    for (const entry of ['{ walked_deg: [-1, 1] }', '\n    walked_deg: [-1, 1]']) {
      const text = `joints:\n  leg4: ${entry}\n  leg5: { pin: 6 }\n`;
      const out = withJointFigures(text, { joint: 'leg4', figures: { walked_deg: null, us_per_deg: null } }, BY);
      expect(out).toMatch(/^joints:\n {2}leg4:\s+(\{ )?sense: 1( \})?\n {2}leg5: \{ pin: 6 \}\n$/);
    }
  });

  it('changes nothing else of a whole rig', () => {
    const lines = OWL.split('\n');
    const after = withJointFigures(OWL, { joint: 'leg1', figures: { centre_us: 1533 } }, BY)!.split('\n');
    expect(after.filter((line, i) => line !== lines[i])).toHaveLength(1);
  });

  it('of a shared entry is null, or leaves the other as it was', () => {
    const shared = 'joints:\n  leg1: &a { pin: 2, centre_us: 1500 }\n  leg2: *a\n';
    const text = withJointFigures(shared, { joint: 'leg2', figures: { centre_us: 1512 } }, BY);
    if (text !== null) expect(text).toMatch(/leg1: (&a )?\{ pin: 2, centre_us: 1500 \}/);
  });
});
