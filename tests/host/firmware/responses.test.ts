/** What a rig's responses.ts may be made of: what is refused, with its line and words, and what the compiled module is. */
import { describe, expect, it } from 'vitest';
import { impurities } from '../../../host/firmware/responses/purity.ts';
import { compiled } from '../../asc.ts';
import { faultsOf, ownOf } from '../../responses.ts';

const body = (text: string): string => `export function respond(): void { ${text} }`;

describe('refused, with the line', () => {
  it.each([
    ['a double by its name', body('\nlet x: f64 = 1;'), 3, /f64, which computes in doubles/],
    ['the standard sine', body('add(Value.z, Math.sin(2));'), 2, /Math, which computes in doubles/],
    ['a power', body('let x = 2 ** 3;'), 2, /\*\*, which computes in doubles/],
    ['new', body('\n\nnew Foo();'), 4, /found new; a response takes no memory/],
    ['a list', body('let x = [1, 2];'), 2, /a list or an object; a response takes no memory/],
    ['an element', body('let x: i32 = 0; x[3] = 1;'), 2, /element of an array/],
    ['an array by its type', 'let x: StaticArray<f32>;\n' + body(''), 2, /StaticArray; a response takes no memory/],
    ['a text', body("let x = 'hello';"), 2, /found a text/],
    ['a closure', body('const f = (): void => {};'), 2, /a function inside a function/],
    ['a class', `${body('')}\nclass A {}`, 3, /found a class/],
    ['an export of its own', `${body('')}\nexport function other(): void {}`, 3, /found an export, other/],
    ['an exported variable', `export let x: f32 = 0;\n${body('')}`, 2, /found an export/],
    ['load', body('load<f32>(64);'), 2, /load, which reaches into memory/],
    ['store', body('store<f32>(64, 1);'), 2, /store, which reaches into memory/],
    ['memory', body('memory.fill(0, 0, 9);'), 2, /memory, which reaches into memory/],
    ['a raw pointer', body('changetype<i32>(3);'), 2, /changetype, which reaches into memory/],
    ['unchecked', body('unchecked(3);'), 2, /unchecked, which reaches into memory/],
    [
      'recursion',
      `function a(): void { b(); }\nfunction b(): void { a(); }\n${body('a();')}`,
      2,
      /a comes to call itself/,
    ],
    ['a function as a value', `function a(): void {}\n${body('let f = a;')}`, 3, /found a without \(\)/],
    ['something to do outside', `add(Value.z, 1);\n${body('')}`, 2, /outside of a function/],
    ['a beginning that is computed', `let x: f32 = noise();\n${body('')}`, 2, /does not begin with a constant/],
    ['a variable without its type', `let x = 1;\n${body('')}`, 2, /does not say its type/],
    ['a decorator', `@inline function a(): void {}\n${body('')}`, 2, /decorator/],
    ['an input that is not there', body('closed(Pin.dor);'), 2, /no input of that name; allowed: door, hand/],
    ['a value that is not there', body('add(Value.tail, 1);'), 2, /no value of that name; allowed: x, y, z/],
    ['what nothing declares', body('foo();'), 2, /found foo, which is neither/],
    ['a name of the build', body('__burn(-5);'), 2, /found __burn, which is neither/],
    ['a local that hides a variable', `let x: f32 = 0;\n${body('let x: f32 = 1;')}`, 3, /x a second time/],
    ['no respond', 'function other(): void {}', 1, /there is no respond/],
    ['a respond that wants something', 'export function respond(x: f32): void {}', 2, /takes nothing/],
    ['wrong types', body('let x: i32 = level(Level.left);'), 2, /the compiler says: .*'f32' to 'i32'/],
    [
      'a remainder of fractions',
      body('let x = 0.5 + level(Level.left); add(Value.z, x % 1.0);'),
      1,
      /a whole part of a fraction/,
    ],
    ['what is no program', body('let x = ;'), 2, /^the compiler says: .*expected/i],
  ])('%s', async (_, text, line, words) => {
    const faults = await faultsOf(text);
    expect(faults).toEqual(expect.arrayContaining([{ line, message: expect.stringMatching(words) as string }]));
  });

  it.each([
    ["import { publish } from './guard';", /found an import of '.\/guard'/],
    ["import { seedNoise } from './senses';", /found seedNoise, which '.\/senses' does not have/],
    ["import * as all from './senses';", /an import of all/],
    ["import { add as burn } from './senses';", /another name for add/],
  ])('%s', async (head, words) => {
    const faults = await faultsOf(body(''), head);
    expect(faults).toEqual(expect.arrayContaining([{ line: 1, message: expect.stringMatching(words) as string }]));
  });
});

it('an input that is not there is told once, however often it is read, and where a rig declares it', async () => {
  const text = body('\nlevel(Level.near); level(Level.near);\nlevel(Level.near); closed(Pin.mat); closed(Pin.mat);');
  expect(await faultsOf(text)).toEqual([
    {
      line: 3,
      message:
        'found Level.near, and this rig has no analog input of that name; allowed: left, right, sound, light; the rig file declares it: night: analog: { near: 26 }',
    },
    {
      line: 4,
      message:
        'found Pin.mat, and this rig has no input of that name; allowed: door, hand; the rig file declares it: night: inputs: { mat: { pin: 18 } }',
    },
  ]);
});

describe('the compiled module', () => {
  const EVERYTHING = `
    let x: f32 = 0.5; let n: i32 = -3; let was: bool = true; let small: u8 = 200;
    const STEP: f32 = 0.25 * 2;
    function part(a: f32, b: f32 = 1.5): f32 { if (a > b) return sqrt(a); return a / b; }
    ${body(`
      for (let i = 0; i < 3; i++) x += part(level(Level.left), 0.3) * 0.5;
      while (n < 5) { n++; if (n == 2) continue; if (n == 4) break; }
      do { n -= 1; } while (n > 0);
      for (let i = 0; i < 4; i++) x *= 0.5;
      switch (n) { case 1: x = 1.0; break; default: x = noise(); }
      const share = (x - 0.5) / 2.0; was = !was; small += 1;
      if (closed(Pin.door) && was) ask(Value.nod, min(abs(share), 3.0) + asked(Value.nod));
      add(Value.yaw, sine(seconds() / 4.0) * STEP + select(1.0, 2.0, was) + f32(small) * 0.001);
      add(Value.lid, x > 0.5 ? f32(i32(x)) : since(0.25) * tick_s());`)}`;

  it('is as pure as the controller without: no doubles, no imports, its exports alone, no start', async () => {
    expect(await impurities((await ownOf(EVERYTHING)).bytes)).toEqual([]);
  });

  it('a module with doubles, a start and an import is told from it', async () => {
    const source = 'declare function out(x: f64): void; out(Math.sqrt(2)); export function other(): void {}';
    const found = (await impurities(await compiled(source))).join(' ');
    expect(found).toMatch(/double precision.*a start function.*an import.*exports other/);
  });

  it('is made once: what it is made of names it', async () => {
    const [one, again, other] = [await ownOf(body('')), await ownOf(body('')), await ownOf(body('noise();'))];
    expect(again.wasm).toBe(one.wasm);
    expect(other.wasm).not.toBe(one.wasm);
  });
});
