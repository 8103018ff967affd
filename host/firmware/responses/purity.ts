/** What a controller must not have, read from the module by another tool than the one that wrote it. */

/** A name begins with $: the module's 65th function is $f64. */
const NEVER: readonly (readonly [RegExp, string])[] = [
  [/(?<!\$)\bf64\b/, 'double precision'],
  [/(?<!\$)\bv128\b/, 'vectors'],
  [/\(global \S+ \(mut\b/, 'a global that changes, of which a copy of the memory knows nothing'],
  [/\bi64\.load\b/, 'loads of 64 bits (memory.compare has them)'],
  [/\bmemory\.grow\b/, 'growing memory'],
  [/\(start\b/, 'a start function'],
  [/\(import\b/, 'an import'],
  [/\bf32\.(trunc|floor|ceil|nearest)\b/, 'a whole part of a fraction (from % 1.0; % is for whole numbers)'],
  [/\(table\b|\(elem\b|\bcall_indirect\b/, 'a call through a table'],
];
const EXPORTS = [
  'arena_bytes',
  'image',
  'init',
  'inputs',
  'memory',
  'outputs',
  'page',
  'pulses',
  'responded',
  'rx',
  'tick',
  'tx',
];

/** In words; none: it is as the controller without responses. */
export async function impurities(wasm: Uint8Array): Promise<string[]> {
  const { default: loadWabt } = await import('wabt');
  const read = (await loadWabt()).readWasm(wasm, { readDebugNames: false });
  const text = read.toText({ foldExprs: false, inlineExport: false });
  read.destroy();
  const found = NEVER.filter(([pattern]) => pattern.test(text)).map(
    ([, what]) => `compiled, it has ${what}, which not every board has`,
  );
  const names = WebAssembly.Module.exports(new WebAssembly.Module(wasm.slice())).map(({ name }) => name);
  const more = names.filter((name) => !EXPORTS.includes(name));
  return more.length > 0 ? [...found, `compiled, it exports ${more.join(', ')}, which no controller has`] : found;
}
