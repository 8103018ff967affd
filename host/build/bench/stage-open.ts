/** The stage, served with a copy of the demo, and a browser to look at it: what its benchmarks have in common. */
import { spawn, spawnSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { type Browser, chromium } from 'playwright-core';

const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];

export interface OpenStage {
  readonly browser: Browser;
  /** The browser's name and version. */
  readonly drawnBy: string;
  readonly url: string;
  /** Of the rig, where the page saves its takes. */
  readonly folder: string;
}

/** Throws where the machine has no Chromium. What was opened is closed once `act` is done. */
export async function withStage(act: (stage: OpenStage) => Promise<void>): Promise<void> {
  const name = NAMES.find((one) => !spawnSync(one, ['--version']).error);
  if (name === undefined) throw new Error('there is no Chromium on this machine: run "npm run setup"');
  const folder = mkdtempSync(join(tmpdir(), 'posewright-bench-'));
  for (const file of ['night-owl.yaml', 'dusk.csv']) copyFileSync(join('host/demo', file), join(folder, file));
  const served = ['dist/posewright.mjs', 'stage', join(folder, 'night-owl.yaml'), 'dusk.csv', '--json'];
  const child = spawn(process.execPath, served, { stdio: ['ignore', 'pipe', 'inherit'] });
  const executablePath = spawnSync('which', [name], { encoding: 'utf8' }).stdout.trim();
  const args = ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'];
  const browser = await chromium.launch({ executablePath, args });
  try {
    const url = await new Promise<string>((resolve, reject) => {
      child.once('exit', () => reject(new Error('the stage has ended: run "npm run build" first')));
      createInterface(child.stdout).on('line', (line) => {
        const [, found] = /"url": "([^"]+)"/.exec(line) ?? [];
        if (found !== undefined) resolve(found);
      });
    });
    const drawnBy = spawnSync(name, ['--version'], { encoding: 'utf8' }).stdout.trim();
    await act({ browser, drawnBy, url, folder });
  } finally {
    await browser.close();
    child.kill('SIGKILL');
    rmSync(folder, { recursive: true, force: true });
  }
}
