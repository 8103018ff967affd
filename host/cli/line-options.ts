/** The options of `replay` that make the line a poor one: as text from the command line, then as numbers, or all that is wrong. */
import { type Command, Option } from 'commander';
import { type LinkOptions, PERFECT_LINK, linkProblems } from '../replay/link-model.ts';
import { readNumber } from '../stream/decimal.ts';
import { type Problem, problemOf } from './output.ts';

/** The texts, by the names that the library for arguments gives them. */
export interface LineTexts {
  readonly latencyMs: string;
  readonly jitterMs: string;
  readonly loss: string;
  readonly burst: string;
  readonly seed: string;
}

interface LineOption {
  readonly key: keyof LinkOptions;
  readonly text: keyof LineTexts;
  readonly option: string;
  readonly takes: string;
  readonly help: string;
  readonly allowed: string;
}

const LINE: readonly LineOption[] = [
  {
    key: 'latency_ms',
    text: 'latencyMs',
    option: '--latency-ms',
    takes: 'ms',
    help: 'delay of the line, constant part',
    allowed: 'a time in ms, 0 or more',
  },
  {
    key: 'jitter_ms',
    text: 'jitterMs',
    option: '--jitter-ms',
    takes: 'ms',
    help: 'delay of the line, random part, from 0 to this',
    allowed: 'a time in ms, 0 or more',
  },
  {
    key: 'loss',
    text: 'loss',
    option: '--loss',
    takes: 'share',
    help: 'share of frames the line loses, 0 to 1',
    allowed: 'a share from 0 to 1, such as 0.02',
  },
  {
    key: 'burst',
    text: 'burst',
    option: '--burst',
    takes: 'frames',
    help: 'how many frames are lost in a row, on average',
    allowed: 'a number of frames, 1 or more',
  },
  {
    key: 'seed',
    text: 'seed',
    option: '--seed',
    takes: 'number',
    help: 'random seed for jitter and loss',
    allowed: 'a whole number',
  },
];

/** A controller that is asked over a slower line is given up before its answer is back; ours. */
const SLOWEST_MS = 1000;

export function addLineOptions(command: Command): Command {
  for (const { key, option, takes, help } of LINE) {
    const usual = String(PERFECT_LINK[key]);
    command.addOption(new Option(`${option} <${takes}>`, help).default(usual, usual));
  }
  return command;
}

/** The line, with the usual figure where a text is none; and all that is wrong with it. */
export function readLine(texts: LineTexts): { readonly line: LinkOptions; readonly problems: readonly Problem[] } {
  const line = { ...PERFECT_LINK };
  const problems: Problem[] = [];
  for (const { key, text, option, allowed } of LINE) {
    const value = texts[text].trim() === '' ? 'is empty' : readNumber(texts[text]);
    if (typeof value === 'string') problems.push(problemOf(option, `${value}; allowed: ${allowed}`));
    else Object.assign(line, { [key]: value });
  }
  problems.push(...linkProblems(line).map((message) => problemOf('the line', message)));
  const slowest_ms = line.latency_ms + line.jitter_ms;
  if (slowest_ms > SLOWEST_MS)
    problems.push(
      problemOf(
        'the line',
        `latency and jitter together are ${String(slowest_ms)} ms; allowed: up to ${String(SLOWEST_MS)} ms, since no answer comes back in time over a slower line`,
      ),
    );
  return { line, problems };
}
