/** Addresses of a firmware's symbols, from its ELF file: 32-bit little-endian, as every Cortex-M's. No sections but the symbols. */

const SYMBOL_TABLE = 2;
const SYMBOL_BYTES = 16;

/** Address by name; the lowest bit, which marks Thumb code, is taken off functions. Source: System V ABI, gABI chapter 4. */
export function elfSymbols(file: Uint8Array): ReadonlyMap<string, number> {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const u32 = (at: number): number => view.getUint32(at, true);
  if (file.length < 52 || view.getUint32(0) !== 0x7f454c46 || view.getUint8(4) !== 1 || view.getUint8(5) !== 1)
    throw new Error('not a 32-bit little-endian ELF file');
  const sections = u32(0x20);
  const entry = view.getUint16(0x2e, true);
  const count = view.getUint16(0x30, true);
  const symbols = new Map<string, number>();
  for (let i = 0; i < count; i++) {
    const section = sections + i * entry;
    if (u32(section + 4) !== SYMBOL_TABLE) continue;
    const names = u32(sections + u32(section + 24) * entry + 16);
    const first = u32(section + 16);
    for (let at = first; at < first + u32(section + 20); at += SYMBOL_BYTES) {
      const isFunction = (view.getUint8(at + 12) & 15) === 2;
      const from = names + u32(at);
      const name = Buffer.from(file.subarray(from, file.indexOf(0, from))).toString('latin1');
      if (name.length > 0) symbols.set(name, isFunction ? u32(at + 4) & ~1 : u32(at + 4));
    }
  }
  return symbols;
}
