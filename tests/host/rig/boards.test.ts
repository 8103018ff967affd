/** What is said of boards is what stands in their folders. */
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { boardNames } from '../../../host/firmware/compile.ts';
import { BOARD_KINDS, kindOf, servoPins, supplyPin } from '../../../host/rig/boards.ts';

it('every board but the empty one is known, by its servo pins and what measures its supply', () => {
  expect([...BOARD_KINDS].sort()).toEqual(boardNames('boards').filter((name) => name !== 'template'));
  for (const name of BOARD_KINDS) {
    const config = readFileSync(`boards/${name}/board_config.h`, 'utf8');
    const number = (key: string): number => Number(new RegExp(`#define ${key} (\\d+)u`).exec(config)?.[1]);
    expect(kindOf(number('BOARD_KIND'))).toBe(name);
    const first = number('BOARD_FIRST_PIN');
    expect(servoPins(name)).toEqual([first, first + number('BOARD_PINS') - 1]);
    const supply = supplyPin(name);
    expect(supply !== null).toBe(/_SUPPLY_PIN /.test(config));
    if (!supply) continue;
    const [upper, lower] = [number('PICO_SUPPLY_UPPER_OHM'), number('PICO_SUPPLY_LOWER_OHM')];
    expect(supply).toEqual({
      name: `GPIO ${String(number('PICO_SUPPLY_PIN'))}`,
      upper_kohm: upper / 1000,
      lower_kohm: lower / 1000,
      // 3.3 V at the foot of the divider.
      most_v: (3.3 * (upper + lower)) / lower,
    });
  }
});
