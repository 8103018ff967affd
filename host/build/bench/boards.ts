/**
 * The boards' long runs: what a tick and a solve cost, bits of the boards against V8, pulses at the pins, faults. All of it on
 * emulators and on this machine, nothing on silicon. Arguments choose parts, and boards for the bits; without any, everything.
 * Ends with README's table of the boards, as far as its rows were measured.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync } from 'node:fs';
import { type Firmware, compileBoard } from '../../firmware/compile.ts';
import { printTable, whole } from './table.ts';
import type { Rig } from '../../rig/rig.ts';
import { sampleStream } from '../../shows/sample.ts';
import { storeStream } from '../../stream/store.ts';
import { countDecoding } from './boards/decode-count.ts';
import { nonsense } from './boards/long-faults.ts';
import { Twins } from './boards/parity.ts';
import { type NightCount, countF405Night, countPicoNight } from './boards/night-count.ts';
import { nightShow } from './boards/night-show.ts';
import { countPicoTicks } from './boards/pico-count.ts';
import { watchPins } from './boards/pins.ts';
import { atMost, figure, progressOf, say, timed, versionOf } from './boards/print.ts';
import { compileInProcess, demoRig, rerun, writeScripts } from './boards/rerun.ts';
import { type Script, type Watched, WHOLE, posesScript, quiet, roughScript, streamScript, withoutLimits } from './boards/scripts.ts';
import { seedScripts } from './boards/seeds.ts';
import { MOST as MOST_RATIO, solvers } from './boards/solve-count.ts';
import { BOARD_NAMES, type BoardName } from './boards/stepped.ts';
import { type TickCounts, countTicks } from './boards/tick-count.ts';

const asked = process.argv.slice(2);
/** A place of its own for each choice, so that several may run at once. */
const OUT = `build/bench/${asked.join('-') || 'all'}`;
const PLACES = { boards: 'boards', wasm: 'build/controller.wasm', out: OUT };
const STREAM = 'host/demo/dusk.csv';
const SEED = 23;
const POSES = 20_000;
const ROUGH_TICKS = 10 * 60 * 200;
const ROUGH = 'ten minutes of a rough stream';
const NONSENSE_BYTES = 1e7;
const MUTATIONS = 5000;
/**
 * KiB that a board may take. pico: 128 of flash stand before the pages for nights, and 256 of RAM hold the two minutes of record (75), the
 * rest of the arena (31) and the code that runs from RAM. f405: the code has two sectors, 192, room for a rig's responses; RAM is 128.
 */
const MOST_KIB = { pico: { flash: 96, ram: 192 }, f405: { flash: 96, ram: 120 } } as const;
const NIGHT_SECONDS = 10;

const image = (name: string): Firmware => compileBoard(PLACES, name);

/** Cycles or instructions of a tick that a board may take: look-ahead included. */
const MOST = { pico: { typical: 88_000, worst: 160_000 }, f405: { typical: 5000, worst: 16_000 } } as const;

/** A row of README's table: what was measured of each board. */
type Row = readonly [name: string, cells: Partial<Readonly<Record<BoardName, string>>>];

const aimed = (value: number, most: number, unit = '', digits = 0): string => {
  const shown = digits > 0 ? value.toFixed(digits) : whole(value);
  const aim = digits > 0 ? String(most) : whole(most);
  return `${shown}${unit && ` ${unit}`} (aim ${aim}${value <= most ? '' : ': **not met**'})`;
};

const COLUMNS = ['pico', 'f405', 'native'] as const;

const DESCRIBED: readonly Row[] = [
  ['chip', { pico: 'RP2040, Cortex-M0+, no floating-point unit', f405: 'STM32F405, Cortex-M4F', native: 'none: a program on this computer, with sanitizers' }],
  ['run in', { pico: 'rp2040js, pulses read at the pins', f405: 'QEMU, pulses read from the timers’ registers', native: 'its own process, the same `main.c` over a pty' }],
];

function printTicks(counts: TickCounts, unit: string, { typical, worst }: { typical: number; worst: number }): void {
  say(`  median ${counts.median.toFixed(0)}, mean ${counts.mean.toFixed(0)}, 99 in 100 below ${counts.p99.toFixed(0)}, longest ${counts.longest.toFixed(0)} ${unit}`);
  atMost('typical: median of a motion within reach', counts.median, typical);
  atMost('worst: poses out of reach, receive ring full, all reported', counts.worst, worst);
}

async function cycles(rig: Rig): Promise<Row[]> {
  say(`${versionOf('qemu-system-arm')}; ${versionOf('arm-none-eabi-gcc')}`);
  const sizes: Partial<Record<BoardName, string>> = {};
  for (const name of ['pico', 'f405'] as const) {
    const { flash_used, ram_used } = image(name);
    sizes[name] = `${(flash_used / 1024).toFixed(1)} KiB; ${(ram_used / 1024).toFixed(1)} KiB`;
    say(`${name}: ${String(flash_used)} bytes of flash, ${String(ram_used)} of RAM with the stack`);
    atMost('KiB of flash', flash_used / 1024, MOST_KIB[name].flash);
    atMost('KiB of RAM', ram_used / 1024, MOST_KIB[name].ram);
  }
  say();
  const ratios = solvers(rig, OUT);
  const tick = `whole tick, 6 legs and ${String(rig.joints.length - 6)} joints, typical`;
  const all = 'link, pulses and record included, emulated';
  say(`f405: ${tick}; ${all}: instructions`);
  const f405 = await countTicks(image('f405').elf, PLACES.wasm, rig);
  printTicks(f405, 'instructions', MOST.f405);
  say(`pico: ${tick}; ${all}: cycles at 125 MHz`);
  const pico = countPicoTicks(image('pico').image, rig, 'uart0');
  printTicks(pico, 'cycles', MOST.pico);
  say('pico: the same with the link over USB');
  printTicks(countPicoTicks(image('pico').image, rig, 'usb'), 'cycles', MOST.pico);
  const byHand = `hand-written C with the same kernels has ${ratios.byHand.toFixed(2)}`;
  return [
    ['flash; RAM including the stack', sizes],
    [
      tick,
      { pico: aimed(pico.median, MOST.pico.typical, 'cycles at 125 MHz'), f405: aimed(f405.median, MOST.f405.typical, 'instructions') },
    ],
    [
      'worst tick: pose out of reach, receive ring full, telemetry due',
      { pico: aimed(pico.worst, MOST.pico.worst, 'cycles'), f405: aimed(f405.worst, MOST.f405.worst, 'instructions') },
    ],
    ['six-leg solve, instruction ratio, controller ÷ hand-written C with the same kernels', { f405: aimed(ratios.toKernels, MOST_RATIO.toKernels, '', 2) }],
    [
      'six-leg solve, instruction ratio, controller ÷ C with newlib’s asin and atan2',
      { f405: `${aimed(ratios.toTextbook, MOST_RATIO.toTextbook, '', 2)}; ${byHand}` },
    ],
  ];
}

async function night(rig: Rig): Promise<Row[]> {
  const show = await nightShow(NIGHT_SECONDS);
  say(`${String(NIGHT_SECONDS)} s of the demo as a show: ${whole(show.night.length)} bytes of a night`);
  const counts = {
    pico: await countPicoNight(image('pico'), PLACES.wasm, show, NIGHT_SECONDS),
    f405: await countF405Night(image('f405'), PLACES.wasm, show, NIGHT_SECONDS),
  };
  const shown = ({ median, longest }: NightCount): string => `${whole(Math.round(median))}, at most ${whole(Math.round(longest))}`;
  const dusk = sampleStream(await storeStream([readFileSync(STREAM)], rig), rig);
  const decoded = await countDecoding(dusk, `${OUT}/decode`);
  const frame: Row = [
    'a frame out of a show, the demo of ten values',
    { pico: `${whole(decoded.median)}, at most ${whole(decoded.longest)} cycles` },
  ];
  const ticks = counts.pico.map((its, k): Row => [
    `whole tick, ${its.what}, median`,
    { pico: `${shown(its)} cycles`, f405: `${shown(counts.f405[k]!)} instructions` },
  ]);
  return [...ticks, frame];
}

async function bits(rig: Rig, boards: readonly BoardName[]): Promise<Row[]> {
  const free = withoutLimits(rig);
  const runs: readonly [words: string, rig: Rig, script: (board: Watched) => Script | Promise<Script>][] = [
    [`${whole(POSES)} poses, one per tick`, free, (board) => posesScript(free, board, POSES, SEED)],
    ['the demo', rig, (board) => streamScript(rig, board, STREAM, WHOLE, quiet)],
    [ROUGH, rig, (board) => roughScript(rig, board, ROUGH_TICKS, SEED)],
  ];
  const rows = runs.map(([words], n): [string, Partial<Record<BoardName, string>>] => [`${n === 0 ? 'bits that differ from V8: ' : 'the same over '}${words}`, {}]);
  for (const name of boards)
    for (const [n, [words, itsRig, script]] of runs.entries()) {
      // Ten minutes of it take an emulator hours.
      if (words === ROUGH && name !== 'native') continue;
      const { result, seconds } = await timed(async () => {
        const twins = await Twins.start(name, image(name), itsRig);
        try {
          return await twins.play(await script(twins.watched), progressOf(`${name}, ${words}`));
        } finally {
          await twins.board.close();
        }
      });
      say(`${name}, ${words}: ${String(result.ticks)} ticks (${String(result.pulsing)} with pulses, ${String(result.widths.size)} widths), ${String(result.frames)} frames, ${seconds.toFixed(0)} s`);
      const first = result.first === null ? '' : `; the first: ${result.first}`;
      atMost(`bits that differ, of ${String(result.bits)}${first}`, result.differing, 0);
      atMost('frames that only one side has sent', result.missing, 0);
      rows[n]![1][name] = `${whole(result.differing)} of ${whole(result.bits)}`;
    }
  return rows;
}

async function pins(rig: Rig): Promise<Row[]> {
  const { result, seconds } = await timed(() => watchPins(rig, STREAM, WHOLE, image('pico'), progressOf('pico, pins')));
  say(`pico, pulses at the pins over the whole demo, its line full: ${String(result.pulses)} pulses of ${String(result.widths)} widths on ${String(result.pins)} pins, ${seconds.toFixed(0)} s`);
  figure('line in use, to the board and from it', `${(100 * result.busy_in).toFixed(1)} %, ${(100 * result.busy_out).toFixed(1)} %`);
  atMost('us between a pulse and the width asked', result.width_error_us, 1);
  atMost('us between a period and the servo frame', result.period_error_us, 1);
  atMost('things the chip does not take, bytes lost', result.faults.length, 0);
  const off_us = Math.max(result.width_error_us, result.period_error_us);
  return [
    [
      'pulse timing over the whole demo, serial line saturated in both directions',
      { pico: `${whole(result.pulses)} pulses within ${off_us.toFixed(2)} µs of width and period` },
    ],
  ];
}

async function faults(rig: Rig): Promise<void> {
  const native = image('native').elf;
  const { result, seconds } = await timed(() => nonsense(native, rig, NONSENSE_BYTES, SEED, progressOf('native, nonsense')));
  say(`native with sanitizers, nonsense on the link: ${String(result.bytes)} bytes, ${String(result.ticks)} ticks, ${String(result.pulsing)} of them with pulses, ${seconds.toFixed(0)} s`);
  atMost('pulses outside their servo\'s range', result.outside, 0);
  atMost('questions without an answer afterwards', result.answers ? 0 : 1, 0);
  const program = compileInProcess(PLACES, 'rerun');
  const scripts = writeScripts(`${OUT}/scripts`, seedScripts());
  for (const [words, args] of [
    ['power lost at every byte of a rig image\'s writing', ['power']],
    [`${String(MUTATIONS)} scripts made of ${String(scripts.length)}`, ['mutate', String(SEED), String(MUTATIONS), ...scripts]],
  ] as const) {
    const run = await timed(() => rerun(program, args));
    say(`native in one process, ${words}, ${run.seconds.toFixed(0)} s`);
    for (const line of run.result.words.trim().split('\n')) say(`  ${line}`);
    atMost(run.result.fault ?? 'promises broken', run.result.fault === null ? 0 : 1, 0);
  }
}

const PARTS = ['cycles', 'night', 'parity', 'pins', 'faults'];
const isBoard = (word: string): word is BoardName => BOARD_NAMES.some((name) => name === word);
const wrong = asked.filter((word) => !PARTS.includes(word) && !isBoard(word));
const parts = asked.filter((word) => PARTS.includes(word));
const chosen = (part: string): boolean => (parts.length === 0 ? asked.length === 0 || part === 'parity' : parts.includes(part));
if (wrong.length > 0) {
  process.stderr.write(`"${wrong.join(' ')}" is neither a part (${PARTS.join(', ')}) nor a board (${BOARD_NAMES.join(', ')})\n`);
  process.exitCode = 2;
} else {
  mkdirSync(OUT, { recursive: true });
  const rig = demoRig();
  const boards = asked.filter(isBoard);
  say(`commit ${execFileSync('git', ['rev-parse', '--short', 'HEAD'], { encoding: 'utf8' }).trim()}, Node ${process.version}, ${versionOf('gcc')}`);
  const ticks = chosen('cycles') ? await cycles(rig) : [];
  const nights = chosen('night') ? await night(rig) : [];
  const differing = chosen('parity') ? await bits(rig, boards.length > 0 ? boards : BOARD_NAMES) : [];
  const pulses = chosen('pins') ? await pins(rig) : [];
  if (chosen('faults')) await faults(rig);
  const rows = [...DESCRIBED, ...differing, ...pulses, ...ticks, ...nights];
  say();
  printTable(say, ['', ...COLUMNS], rows.map(([name, cells]) => [name, ...COLUMNS.map((board) => cells[board] ?? '–')]));
}
