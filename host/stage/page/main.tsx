/** The page: fetches the rig, starts the engine, shows one of its four places. */
import { render } from 'preact';
import { rigFrom } from '../transfer.ts';
import type { About } from '../about.ts';
import { App } from './app.tsx';
import { startEngine } from './engine/client.ts';
import { startLine } from './board/line.ts';
import { shares } from './hand/asking.ts';
import { keptShares } from './hand/look-at.ts';
import { keep } from './kept.ts';
import { about, rig, said } from './state.ts';
import { startVerdict } from './verdict/client.ts';

async function fetched(path: string): Promise<Response> {
  const response = await fetch(path);
  if (!response.ok) throw new Error(await response.text());
  return response;
}

async function start(): Promise<void> {
  const [rigText, aboutJson, wasm] = await Promise.all([
    fetched('rig').then((response) => response.text()),
    fetched('about').then((response) => response.json() as Promise<About>),
    fetched('controller.wasm').then((response) => response.arrayBuffer()),
  ]);
  rig.value = rigFrom(rigText);
  about.value = aboutJson;
  keep(`shares of ${rig.value.name}`, shares, keptShares);
  document.title = `${rig.value.name}: stage`;
  startEngine(rigText, wasm);
  startVerdict(rigText, wasm);
  startLine();
  render(<App />, document.body);
}

start().catch((error: unknown) => {
  said.value = error instanceof Error ? error.message : String(error);
  document.body.textContent = said.value;
});
