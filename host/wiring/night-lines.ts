/** The lines of a rig's night: what each pin goes to, and what to buy and to tick for it. */
import type { Rig } from '../rig/rig.ts';
import { pinName } from './pins.ts';
import type { NightLine } from './result.ts';

const PLAYER = 'a driver (transistor or opto-coupler) that closes the player’s start contact';
const LAMP = 'a transistor that switches the lamp: a pin gives 3.3 V and a few mA';

/** In the order of the rig file; none without a night. */
export function nightLines({ night }: Rig, kind: string): NightLine[] {
  if (!night) return [];
  const line = (what: string, pin: number, goes_to: string, is: NightLine['is']): NightLine => ({
    what,
    pin,
    pin_name: pinName(kind, pin),
    goes_to,
    is,
  });
  const { light_pin, warn_pin, button_pin, inputs, analog, sounds } = night;
  return [
    ...(light_pin === null ? [] : [line('light', light_pin, LAMP, 'output')]),
    ...(warn_pin === null || warn_pin === light_pin
      ? []
      : [line('warning', warn_pin, 'a transistor that switches warning light and buzzer', 'output')]),
    ...(button_pin === null ? [] : [line('button', button_pin, 'a push button to ground, normally open', 'input')]),
    ...inputs.map(({ name, pin, inverted, by }) =>
      line(
        `input ${name}`,
        pin,
        `a contact to ground, ${inverted ? 'closed at rest' : 'open at rest'}, closed by ${by === 'visitor' ? 'visitors' : 'the attendant'}`,
        'input',
      ),
    ),
    ...analog.map(({ name, pin }) => line(`analog ${name}`, pin, 'a sensor of 0 to 3.3 V, never more', 'analog')),
    ...sounds.map(({ name, pin }) => line(`sound ${name}`, pin, PLAYER, 'output')),
  ];
}

/** Sentences without a stop. */
export function nightChecks(lines: readonly NightLine[]): string[] {
  const words = {
    output: 'reads 0 V with the board on, and what it switches is off',
    input: 'to ground reads closed and open as it is worked by hand',
    analog: 'reads between 0 and 3.3 V whatever the sensor sees',
  };
  return lines.map(({ what, pin_name, is }) => `Night, ${what}: ${pin_name} ${words[is]}`);
}
