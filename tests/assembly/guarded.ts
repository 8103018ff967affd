/** A prop in the state that a guard's test begins with. */
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

export const still = [0, 0, 0, 0, 0, 0];
export const off = (prop: Prop): boolean => prop.controller.pulses.every((us) => us === 0);
export const on = (prop: Prop): number => prop.controller.pulses.filter((us) => us !== 0).length;

/** Keeps frames coming for a while. */
export function feed(prop: Prop, seconds: number, values: readonly number[] = still): void {
  for (let n = 0; n < seconds * prop.hz; n++) {
    if (n % 4 === 0) prop.pose(20_000, values);
    prop.run(1);
  }
}

export function live(options: Parameters<typeof rigOf>[0] = {}): Prop {
  const prop = new Prop(rigOf(options));
  prop.rouse();
  return prop;
}
