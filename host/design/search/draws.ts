/** Seeded random numbers whose state can be written down: each island has a sequence of its own, apart from all the others. */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus, xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus';
import { skipN } from 'pure-rand/utils/skipN';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';

/** Seeds that differ in a bit differ in the first numbers only after some. */
const WARM_UP = 64;

export class Draws {
  private readonly generator: RandomGenerator;

  private constructor(generator: RandomGenerator) {
    this.generator = generator;
  }

  /** Of island number `island`, from 0: 2^64 numbers further on than the island before. */
  static of(seed: number, island: number): Draws {
    const generator = xoroshiro128plus(seed);
    skipN(generator, WARM_UP);
    for (let k = 0; k < island; k++) generator.jump();
    return new Draws(generator);
  }

  static from(state: readonly number[]): Draws {
    return new Draws(xoroshiro128plusFromState(state));
  }

  state(): readonly number[] {
    return this.generator.getState();
  }

  /** In [0, 1). */
  uniform(): number {
    return uniformFloat64(this.generator);
  }

  /** A whole number in [0, count). */
  below(count: number): number {
    return Math.floor(this.uniform() * count);
  }

  /** Mean 0, deviation 1 (Box and Muller, "A note on the generation of random normal deviates", 1958; one of the pair). */
  normal(): number {
    const radius = Math.sqrt(-2 * Math.log(1 - this.uniform()));
    return radius * Math.cos(2 * Math.PI * this.uniform());
  }
}
