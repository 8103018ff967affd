/** The worker that judges takes, tries fixes, and looks into them for the Workshop. What is given up costs nothing more. */
import { renderWhyParts } from '../../../report/why-report.ts';
import { costWords, limitsTable } from '../../../report/limits-table.ts';
import { markup } from '../../../report/draw/markup.ts';
import { kept } from '../../../report/draw/figures.ts';
import type { Rig } from '../../../rig/rig.ts';
import { scanStream } from '../../../stream/read.ts';
import { simTarget } from '../../../targets/sim.ts';
import { tune } from '../../../tune/tune.ts';
import { whyOf } from '../../../why/why.ts';
import { rigFrom } from '../../transfer.ts';
import { takeText } from '../../take/file.ts';
import { columnsOf } from '../../take/lanes.ts';
import type { Take } from '../../take/take.ts';
import { type Fixed, fixed } from './fixes.ts';
import type { FromVerdict, ToVerdict } from './protocol.ts';
import { untilFollowed } from './until-followed.ts';
import { Verdicts } from './verdicts.ts';
import { warmUp } from './warm-up.ts';

interface Opened {
  readonly rig: Rig;
  readonly wasm: Uint8Array<ArrayBuffer>;
  verdicts: Verdicts | null;
}

let opened: Opened | null = null;
/** The newest take that came to be judged. */
let newest = -1;
let isWarm = false;

const tell = (what: FromVerdict): void => {
  postMessage(what);
};

/** Lets messages in that wait: a newer take among them. */
const { port1, port2 } = new MessageChannel();
const breath = (): Promise<void> =>
  new Promise((resolve) => {
    port1.onmessage = () => {
      resolve();
    };
    port2.postMessage(null);
  });

async function judge({ rig, wasm }: Opened, { number, take }: Extract<ToVerdict, { do: 'judge' }>): Promise<void> {
  newest = number;
  await breath();
  if (newest !== number || !opened) return;
  opened.verdicts ??= new Verdicts(rig, wasm);
  const verdict = await opened.verdicts.of(take, async () => {
    await breath();
    return newest === number;
  });
  if (newest !== number || verdict === null) return;
  if (typeof verdict === 'string') tell({ said: 'fault', number, words: verdict });
  else {
    tell({ said: 'verdict', number, ...verdict });
    await warm(number, take);
  }
}

/** Once, as long as nothing newer comes. */
async function warm(number: number, take: Take): Promise<void> {
  if (isWarm || !opened) return;
  const isNewest = async (): Promise<boolean> => {
    await breath();
    return newest === number;
  };
  // The verdict has been given: what goes wrong here costs the next one time, nothing else.
  isWarm = await warmUp(opened.rig, opened.wasm, take, isNewest).catch(() => true);
}

async function work({ rig, wasm }: Opened, { number, take, task }: Extract<ToVerdict, { do: 'work' }>): Promise<void> {
  const source = [new TextEncoder().encode(takeText(take, columnsOf(rig)))];
  const progress = (share: number): void => {
    tell({ said: 'progress', number, share });
  };
  const target = simTarget({ wasm });
  if (task === 'why') {
    const stream = { name: take.name, source, scan: await scanStream(source, rig) };
    const reasoned = await whyOf(rig, {
      symptom: null,
      stream,
      target,
      progress: (at_s) => {
        progress(at_s / Math.max(take.seconds, 1));
      },
    });
    return tell({ said: 'worked', number, task, html: renderWhyParts(rig, reasoned).markup });
  }
  const { answer } = await tune(rig, target, {
    faster: false,
    stream: { name: take.name, source, played: null },
    progress,
  });
  const said = [...costWords(answer.joints), ...answer.advice];
  const html = markup`${limitsTable(answer.joints)}${said.length === 0 ? null : markup`<ul>${said.map((words) => markup`<li>${kept(words)}.</li>`)}</ul>`}`;
  tell({ said: 'worked', number, task, html: html.markup });
}

async function take(asked: ToVerdict): Promise<void> {
  if (asked.do === 'start') {
    opened = { rig: rigFrom(asked.rig), wasm: new Uint8Array(asked.wasm), verdicts: null };
    tell({ said: 'ready' });
  } else if (opened && asked.do === 'judge') await judge(opened, asked);
  else if (opened && asked.do === 'work') await work(opened, asked);
  else if (opened && asked.do === 'fix') {
    const { rig, wasm } = opened;
    const made: Fixed =
      asked.fix.kind === 'follow'
        ? await untilFollowed(rig, wasm, asked.take, (words) => {
            tell({ said: 'doing', number: asked.number, words });
          })
        : await fixed(rig, asked.take, asked.fix);
    tell({ said: 'fixed', number: asked.number, fixed: made });
  }
}

addEventListener('message', ({ data }: MessageEvent<ToVerdict>) => {
  take(data).catch((error: unknown) => {
    const number = 'number' in data ? data.number : -1;
    tell({ said: 'fault', number, words: error instanceof Error ? error.message : String(error) });
  });
});
