import { describe, expect, it } from 'vitest';
import { balancedOf, reasonsOf, slugOf } from '../../../host/design/reasons.ts';

describe('why a design is shown', () => {
  it('names what it is best at, each end once: of several cheapest the best in all else', () => {
    const all = [
      [-2, 0.6, 80],
      [-1.1, 0.5, 80],
      [-1, 0.2, 130],
      [-1.5, 0.35, 100],
    ];
    expect(reasonsOf(all, ['travel', 'use', 'price'])).toEqual([
      'most spare travel, cheapest that holds',
      'between most spare travel and cheapest that holds',
      'least torque used',
      'the best balance of all that counts',
    ]);
  });

  it('does not call a design cheapest where all cost the same', () => {
    const reasons = reasonsOf(
      [
        [-2, 80],
        [-1, 80],
      ],
      ['travel', 'price'],
    );
    expect(reasons.join()).not.toContain('cheapest');
  });

  it('calls none best at what all have alike to a builder', () => {
    const all = [
      [-2, 0.0446, 80],
      [-1, 0.0451, 60],
      [-1.6, 0.0449, 66],
    ];
    const better = ['travel', 'use', 'price'] as const;
    expect(reasonsOf(all, better).join()).toContain('least torque used');
    expect(reasonsOf(all, better, [0.02, 0.01, 0.5]).join()).not.toContain('torque');
  });

  it('says of an end that it is the best balance as well; the file is named after the end', () => {
    const all = [
      [-2, 100, 0.5],
      [-1, 100, 0.2],
      [-1.6, 60, 0.3],
    ];
    const reasons = reasonsOf(all, ['travel', 'price', 'use']);
    expect(reasons[2]).toBe('cheapest that holds; the best balance of all that counts');
    expect(balancedOf(all, 3)).toBe(2);
    expect(slugOf(reasons[2]!)).toBe('cheapest');
    // Of two, each is worst at something.
    expect(reasonsOf(all.slice(0, 2), ['travel', 'price', 'use']).join()).not.toContain('balance');
  });

  it('makes names of files', () => {
    expect(
      [
        'cheapest that holds, smallest',
        'the best balance of all that counts',
        'between smallest and stiffest',
        'the only design that is left',
      ].map(slugOf),
    ).toEqual(['cheapest', 'best-balance', 'small-stiff', 'only-design']);
  });
});
