/** The supply gives way when many servos pull at once. */
import { loadOf } from '../facts.ts';
import { ampere } from '../words.ts';
import type { Look } from './cause.ts';

/** A supply with so much more than all servos stalled take has some to spare for wires and age (common practice). */
const ROOMY = 1.25;

export const supplySag: Look = (facts) => {
  const kind = facts.rig.supply?.kind;
  const supply = loadOf(facts)?.supply ?? null;
  const stalled = supply && supply.unknown.length === 0 ? supply.stalled_a : null;
  const gives = supply?.gives_a ?? null;
  const peak = supply?.peak_a ?? null;
  const known = stalled !== null && gives !== null;
  const moving = peak === null ? '' : `, this stream up to ${ampere(peak)}`;
  const weight = !known ? 0.35 : Math.max(peak ?? 0, supply?.hold_a ?? 0) > gives ? 0.9 : stalled > gives ? 0.5 : 0.1;
  return {
    cause: 'supply_sag',
    title: 'the supply voltage drops',
    weight,
    because: known
      ? `all servos stalled take ${ampere(stalled)}${moving}; the supply gives ${ampere(gives)}${kind === 'battery' ? ', and a battery gives less when old or cold' : ''}`
      : `${stalled === null ? 'a servo’s stall current' : 'what the supply gives'} is not in the rig file`,
    test: 'measure the voltage at the last servo while it moves: a drop of more than a tenth means the supply or its wires',
    cure: `a supply${stalled === null ? '' : ` of ${ampere(stalled * ROOMY)} or more`}, short thick wires, one pair from the supply to each servo rather than a chain`,
    cost: 'a supply, and wiring',
    trial: null,
  };
};
