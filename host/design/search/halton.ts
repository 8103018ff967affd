/** Points spread evenly over the unit cube: what a search looks at first. */

/** The first primes, one a dimension. */
function primes(count: number): number[] {
  const found: number[] = [];
  for (let n = 2; found.length < count; n++) if (found.every((prime) => n % prime !== 0)) found.push(n);
  return found;
}

function radicalInverse(index: number, base: number): number {
  let [value, digit] = [0, 1 / base];
  for (let rest = index; rest > 0; rest = Math.floor(rest / base)) {
    value += (rest % base) * digit;
    digit /= base;
  }
  return value;
}

/**
 * Point `index`, from 0, of Halton's sequence ("On the efficiency of certain quasi-random sequences of points", 1960),
 * turned round the cube by `shift` (Cranley and Patterson, 1976), so that every seed has its own.
 */
export function halton(index: number, shift: Float64Array): Float64Array {
  const bases = primes(shift.length);
  return shift.map((by, i) => (radicalInverse(index + 1, bases[i]!) + by) % 1);
}
