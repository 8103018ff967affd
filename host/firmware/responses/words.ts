/** What responses.ts may be made of, and what is said of the rest. */

/** What './senses' has for it, and the fuel that a call of each burns beside that of the call. */
export const SENSES: Readonly<Record<string, number>> = {
  closed: 1,
  level: 2,
  seconds: 2,
  since: 4,
  tick_s: 4,
  noise: 2,
  sine: 32,
  asked: 2,
  ask: 3,
  add: 4,
};

/** The compiler's own functions that are allowed, with their fuel: each is an instruction or a few, without doubles. */
export const BUILTINS: Readonly<Record<string, number>> = {
  min: 2,
  max: 2,
  abs: 1,
  sqrt: 8,
  select: 1,
  clz: 1,
  ctz: 1,
  popcnt: 1,
  rotl: 1,
  rotr: 1,
  isNaN: 1,
  isFinite: 1,
  unreachable: 1,
};

export const TYPES: readonly string[] = ['void', 'bool', 'i8', 'u8', 'i16', 'u16', 'i32', 'u32', 'f32'];

const DOUBLES = ['f64', 'number', 'Math', 'Mathf', 'NativeMath', 'NativeMathf', 'NaN', 'Infinity'];
const MEMORY = [
  'load',
  'store',
  'memory',
  'changetype',
  'unchecked',
  'heap',
  'offsetof',
  'sizeof',
  'atomic',
  'usize',
  'isize',
];
const ALLOCATES = [
  'string',
  'String',
  'Array',
  'StaticArray',
  'Map',
  'Set',
  'Date',
  'Object',
  'Uint8Array',
  'Float32Array',
];
const LONG = ['i64', 'u64', 'v128', 'i8x16', 'i16x8', 'i32x4', 'f32x4', 'f64x2'];

export const ALLOCATION =
  'a response takes no memory while it runs; allowed: variables at the top of the file, which stay from tick to tick';

/** Why a name that nothing declares is refused. */
export function unknownName(name: string): string {
  if (DOUBLES.includes(name))
    return `found ${name}, which computes in doubles; allowed: f32, which every board computes to the same bits, and sine() and sqrt()`;
  if (MEMORY.includes(name))
    return `found ${name}, which reaches into memory; allowed: what ./senses has (${Object.keys(SENSES).join(', ')})`;
  if (ALLOCATES.includes(name)) return `found ${name}; ${ALLOCATION}`;
  if (LONG.includes(name)) return `found ${name}; allowed: ${TYPES.slice(1).join(', ')}`;
  return `found ${name}, which is neither in this file nor imported; allowed: ${Object.keys(SENSES).join(', ')} from ./senses, Pin, Level and Value from ./named, and ${Object.keys(BUILTINS).join(', ')}`;
}

/** Kinds of node that are allowed, by the compiler's names; what else there is has its words below. */
export const ALLOWED: readonly string[] = [
  'NamedType',
  'FunctionType',
  'TypeName',
  'Parameter',
  'Identifier',
  'Assertion',
  'Binary',
  'Call',
  'Comma',
  'False',
  'True',
  'Literal',
  'Omitted',
  'Parenthesized',
  'PropertyAccess',
  'Ternary',
  'UnaryPostfix',
  'UnaryPrefix',
  'Block',
  'Break',
  'Continue',
  'Do',
  'Empty',
  'Expression',
  'For',
  'If',
  'Import',
  'ImportDeclaration',
  'Return',
  'Switch',
  'SwitchCase',
  'Variable',
  'VariableDeclaration',
  'Void',
  'While',
  'FunctionDeclaration',
];

const REFUSED: Readonly<Record<string, string>> = {
  New: `found new; ${ALLOCATION}`,
  ElementAccess: `found an element of an array; ${ALLOCATION}`,
  Function: 'found a function inside a function; allowed: functions at the top of the file, called by their names',
  ClassDeclaration: `found a class; ${ALLOCATION}`,
  Throw: 'found throw; allowed: return, since nothing here could catch it',
  Try: 'found try; allowed: nothing of the kind, since a response that fails is switched off',
  Decorator: 'found a decorator; allowed: functions as they are',
  TypeParameter: 'found a function for any type; allowed: types by name',
};

export const refusedKind = (kind: string): string =>
  REFUSED[kind] ??
  (/^Export/.test(kind)
    ? 'found an export; allowed: export function respond(): void alone'
    : `found a ${kind.replace(/Declaration$/, '').toLowerCase()}; allowed: functions, variables and constants, if, for, while, do and switch`);
