/**
 * Flash for nights on the emulated f405, whose emulator has none: what the board's two drivers would do to it a debugger does, as NOR
 * flash has it. So main.c and the controller are the board's own, and the f405's flash driver is not run.
 */
import { readFileSync } from 'node:fs';
import { PAGE_BYTES } from '../../../controller/layout.ts';
import { elfSymbols } from '../../../targets/elf.ts';
import type { Gdb } from '../../../targets/gdb.ts';

/** boards/f405/board_config.h: sectors 6 to 11. */
export const F405_STORE = { pages: 3072, sectorPages: 512 } as const;
/** What one request carries. */
const PIECE_BYTES = 1024;
const [R0, R1, PC] = [0, 1, 15];

/** A debugger that stands in for the drivers whenever it lets the board run; elf: the firmware that it holds at reset. */
export async function withPages(gdb: Gdb, elf: string): Promise<Gdb> {
  const symbols = elfSymbols(readFileSync(elf));
  const at = (name: string): number => symbols.get(name) ?? NaN;
  const [erase, program, store] = [at('board_page_erase'), at('board_page_program'), at('store_start')];
  const blank = async (page: number, pages: number): Promise<void> => {
    const bytes = new Uint8Array(PIECE_BYTES).fill(0xff);
    const writes: Promise<void>[] = [];
    for (let from = 0; from < pages * PAGE_BYTES; from += PIECE_BYTES)
      writes.push(gdb.write(store + page * PAGE_BYTES + from, bytes));
    await Promise.all(writes);
  };
  const clear = async (page: number, from: number): Promise<boolean> => {
    const [old, wanted] = await Promise.all([gdb.read(store + page * PAGE_BYTES, PAGE_BYTES), gdb.read(from, PAGE_BYTES)]);
    const now = old.map((byte, i) => byte & wanted[i]!);
    await gdb.write(store + page * PAGE_BYTES, now);
    return now.every((byte, i) => byte === wanted[i]);
  };
  /** Whether the board stands where a driver begins; then it has been done. */
  const stoodIn = async (): Promise<boolean> => {
    const pc = await gdb.register(PC);
    if (pc !== erase && pc !== program) return false;
    const [page, from] = await Promise.all([gdb.register(R0), gdb.register(R1)]);
    let done = true;
    if (pc === erase) await blank(page, F405_STORE.sectorPages);
    else done = await clear(page, from);
    await gdb.setRegister(R0, Number(done));
    await gdb.goOnAt(await gdb.returnAddress());
    return true;
  };
  await blank(0, F405_STORE.pages);
  await gdb.breakAt(erase);
  await gdb.breakAt(program);
  return {
    ...gdb,
    async resume() {
      do await gdb.resume();
      while (await stoodIn());
    },
  };
}
