/** What `posewright reach` costs as a command of its own, start-up and all: CPU seconds, counted by the shell. */
import { execFileSync } from 'node:child_process';
import type { AimRow } from './table.ts';

const RUNS = 3;

/** `times` prints the shell's own time and, in its second line, that of what it has run: 0m0.571s 0m0.048s. */
function cpuOf_s(args: string): number {
  const said = execFileSync('sh', ['-c', `"${process.execPath}" dist/posewright.mjs ${args} > /dev/null; times`], { encoding: 'utf8' });
  const found = said.trim().split('\n').at(-1)?.matchAll(/(\d+)m([\d.]+)s/g) ?? [];
  return [...found].reduce((sum, [, minutes, seconds]) => sum + 60 * Number(minutes) + Number(seconds), 0);
}

const quietest_s = (args: string): number => Math.min(...Array.from({ length: RUNS }, () => cpuOf_s(args)));

export function reaching(): AimRow {
  const plain_s = quietest_s('reach host/demo/night-owl.yaml');
  const sensitive_s = quietest_s('reach host/demo/night-owl.yaml --sensitivity');
  return {
    name: '`reach`',
    aim: '2 s',
    measured: `${plain_s.toFixed(1)} s CPU, ${sensitive_s.toFixed(1)} s with \`--sensitivity\``,
    isMet: Math.max(plain_s, sensitive_s) <= 2,
  };
}
