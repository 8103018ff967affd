import { describe, expect, it } from 'vitest';
import { reasonsOf, slugOf } from '../../../host/design/reasons.ts';

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

  it('makes names of files', () => {
    expect(
      ['cheapest that holds, smallest', 'the best balance of all that counts', 'between smallest and stiffest'].map(
        slugOf,
      ),
    ).toEqual(['cheapest', 'best-balance', 'between']);
  });
});
