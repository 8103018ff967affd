/** Which link a rig means, by its board; and that a rig image knows nothing of it. */
import { describe, expect, it } from 'vitest';
import { packImage } from '../../../host/controller/image.ts';
import type { Board } from '../../../host/rig/rig.ts';
import { OWL, rigOf, swap } from './owl.ts';

const of = (board: string): Pick<Board, 'link' | 'baud'> | null => rigOf(swap(OWL, ['kind: pico', board])).board;

describe('the link of a board that names none', () => {
  it.each([
    ['pico', 'usb', null],
    ['f405', 'uart0', 500_000],
    ['native', 'uart0', 500_000],
    ['moon', 'uart0', 500_000],
  ])('%s: %s', (kind, link, baud) => {
    expect(of(`kind: ${kind}`)).toMatchObject({ link, baud });
  });
});

it('a pico may have its serial port instead, and name its rate', () => {
  expect(of('kind: pico, link: uart0, baud: 500000')).toMatchObject({ link: 'uart0', baud: 500_000 });
});

it('the image is the same over either', () => {
  expect(packImage(rigOf(swap(OWL, ['kind: pico', 'kind: pico, link: uart0'])))).toEqual(packImage(rigOf(OWL)));
});
