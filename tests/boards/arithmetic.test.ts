/** The pico's own f32 arithmetic against IEEE 754 as this machine has it (ECMA-262: Math.fround), by the emulated core. */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { Simulator } from 'rp2040js';
import { beforeAll, describe, expect, it } from 'vitest';
import { flashOf } from '../../host/targets/pico.ts';
import { PicoMachine } from '../../host/targets/rp2040/machine.ts';
import { firmwareOf } from './firmware.ts';

const TOOLS = !spawnSync('arm-none-eabi-gcc', ['--version']).error;
const SEED = 5;
const RANDOM_PAIRS = 40_000;
/** Where a call returns to, and where its stack is. */
const [RETURN, STACK] = [0x2003f000, 0x2003e000];

const words = new Uint32Array(1);
const floats = new Float32Array(words.buffer);
const toFloat = (bits: number): number => {
  words[0] = bits;
  return floats[0] ?? NaN;
};
const toBits = (value: number): number => {
  floats[0] = value;
  return words[0] ?? 0;
};
const isNan = (bits: number): boolean => (bits & 0x7fffffff) >>> 0 > 0x7f800000;

const OPERATIONS = {
  __aeabi_fmul: (a, b) => toBits(a * b),
  __aeabi_fadd: (a, b) => toBits(a + b),
  __aeabi_fsub: (a, b) => toBits(a - b),
  __aeabi_fdiv: (a, b) => toBits(a / b),
  sqrtf: (a) => toBits(Math.sqrt(a)),
  __aeabi_fcmplt: (a, b) => Number(a < b),
  __aeabi_fcmple: (a, b) => Number(a <= b),
  __aeabi_fcmpgt: (a, b) => Number(a > b),
  __aeabi_fcmpge: (a, b) => Number(a >= b),
  __aeabi_fcmpeq: (a, b) => Number(a === b),
} as const satisfies Record<string, (a: number, b: number) => number>;

/** 0, the subnormal numbers' ends, 1 and its neighbours, ties, the largest, infinity, NaN; each with both signs. */
const EDGES = [
  0, 1, 2, 0x7fffff, 0x800000, 0x800001, 0x33800000, 0x34000000, 0x3f7fffff, 0x3f800000, 0x3f800001, 0x4b800000,
  0x7f7fffff, 0x7f800000, 0x7fc00000,
].flatMap((bits) => [bits, (bits | 0x80000000) >>> 0]);

describe.skipIf(!TOOLS)('f32 arithmetic of the pico', () => {
  const { rp2040 } = new Simulator();
  const { core } = rp2040;
  const address = new Map<string, number>();
  beforeAll(() => {
    const { elf, image } = firmwareOf('pico');
    const machine = new PicoMachine(flashOf(readFileSync(image)), { byte: () => undefined });
    machine.run(20_000);
    rp2040.flash.set(machine.flash);
    rp2040.sram.set(machine.ram);
    for (const line of spawnSync('arm-none-eabi-nm', [elf], { encoding: 'utf8' }).stdout.split('\n')) {
      const [at = '', , name = ''] = line.split(' ');
      address.set(name, parseInt(at, 16));
    }
  });

  const call = (name: string, a: number, b: number): number => {
    const at = address.get(name);
    if (at === undefined) throw new Error(`the firmware has no ${name}`);
    core.registers.fill(0x5a5a5a5a, 4, 8);
    core.registers[0] = a;
    core.registers[1] = b;
    core.SP = STACK;
    core.LR = RETURN | 1;
    core.PC = at & ~1;
    while (core.PC !== RETURN) core.executeInstruction();
    if (core.SP !== STACK || core.registers.slice(4, 8).some((kept) => kept !== 0x5a5a5a5a))
      throw new Error(`${name} does not keep what it must`);
    return (core.registers[0] ?? 0) >>> 0;
  };
  const check = (a: number, b: number): void => {
    for (const [name, operation] of Object.entries(OPERATIONS)) {
      const [is, should] = [call(name, a, b), operation(toFloat(a), toFloat(b))];
      if (is !== should && !(!name.includes('cmp') && isNan(is) && isNan(should)))
        expect.fail(`${name} ${a.toString(16)} ${b.toString(16)}: ${is.toString(16)}, not ${should.toString(16)}`);
    }
  };

  it('agrees on every pair of edges', () => {
    for (const a of EDGES) for (const b of EDGES) check(a, b);
  });

  it(`agrees on ${String(RANDOM_PAIRS)} pairs of any bits, near ones, and results that end at the edges`, () => {
    const random = xoroshiro128plus(SEED);
    const any = (): number => random.next() >>> 0;
    const withExponent = (lowest: number, n: number): number =>
      ((any() & 0x807fffff) | ((lowest + (any() % n)) << 23)) >>> 0;
    for (let i = 0; i < RANDOM_PAIRS; i++) {
      const a = [any, () => withExponent(112, 30), () => withExponent(0, 60), () => withExponent(230, 26)][i % 4]!();
      const exponent = (a >>> 23) & 0xff;
      const near = (): number => withExponent(Math.max(0, Math.min(exponent - 14, 226)), 29);
      const close = (): number => (a ^ (any() & 0x80000007)) >>> 0;
      const short = (): number => (withExponent(112, 30) & 0xfff00000) >>> 0;
      check(a, [any, near, close, short, () => withExponent(112, 30)][i % 5]!());
    }
  });
});
