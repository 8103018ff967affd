/** What a log is read as, and what is said of it: from a controller that noted it, over the link. */
import { describe, expect, it } from 'vitest';
import { Conversation } from '../../../host/replay/conversation.ts';
import { renderLogReport } from '../../../host/report/log-report.ts';
import { type LogEvent, parseEvents } from '../../../host/shows/log-frames.ts';
import { type Log, readLog } from '../../../host/shows/log.ts';
import { type Told, eventLine, spell } from '../../../host/shows/log-words.ts';
import { Watching, jointsOnly } from '../../assembly/night/watching.ts';

const PLAYING = 7;
const rig = jointsOnly(3);

/** Three trips in one evening. */
function evening(): Watching {
  const prop = new Watching(rig);
  for (let k = 0; k < 3; k++) {
    prop.rouse();
    prop.tell(PLAYING, 2, 83, '<startle> & co');
    for (let n = 0; n < 60; n++) {
      prop.pose(5000, [0, 0, 0, 0, 0, 0, 0, 0.005 * n, 0]);
      if (n === 10) prop.setMeasured(100, 4120);
      prop.run(1);
    }
    prop.until('tripped');
    prop.setMeasured(100, 6000);
    prop.seconds(5);
    prop.command(0x0a);
  }
  prop.seconds(1);
  return prop;
}

async function read(prop: Watching): Promise<Log> {
  const talk = await Conversation.open(prop.target, { telemetry: () => undefined });
  return readLog(talk, undefined);
}

const log = await read(evening());
const told: Told = { unix_s: null, timeOfDay: (unix_s) => `at ${String(unix_s)}`, names: ['leg1', 'leg2', 'leg3'] };
const trips = log.events.filter(({ kind }) => kind === 'trip');

describe('a log over the link', () => {
  it('has every event once, in order, and the record of the last motion', () => {
    expect(log.events.map(({ n }) => n)).toEqual([0, 1, 2, 3]);
    expect(trips).toHaveLength(3);
    expect(log).toMatchObject({ boots: 1, torn: 0, joints: 3, wear: 1 });
    expect(log.records.length).toBeGreaterThan(60);
    const steps = log.records.slice(1).map(({ at_s }, i) => at_s - log.records[i]!.at_s);
    expect(Math.min(...steps)).toBeGreaterThan(0.05);
  });
});

describe('the words', () => {
  it('say when, what, where, for the how manyeth time, and of which joint most was asked', () => {
    const line = eventLine(trips[2]!, log, told);
    expect(line.what).toBe(
      "supply fell to 4.1 V in '<startle> & co' at 1:23, third time since power-on; of all joints leg2 was asked for most of its speed then",
    );
    expect(line.isTrouble).toBe(true);
    expect(line.when).toMatch(/^\d+ s after power, power-on 1$/);
  });

  it('have a time of day only where it is known', () => {
    const event: LogEvent = { ...trips[0]!, at_s: 3660 };
    expect(eventLine(event, log, told).when).toBe('1 h 01 min after power, power-on 1');
    expect(eventLine({ ...event, unix_s: 1_800_000_000 }, log, told).when).toBe('at 1800000000');
    const now = { ...told, unix_s: 2_000_000_000 };
    expect(eventLine(event, { ...log, uptime_s: 3760 }, now).when).toBe('at 1999999900');
    expect(eventLine({ ...event, boots: 0 }, log, now).when).toBe('1 h 01 min after power, power-on 0');
  });

  it('name no joint where none is known', () => {
    expect(eventLine({ ...trips[0]!, joint: null, how: 0 }, log, told).what).not.toContain('leg');
    expect(eventLine({ ...trips[0]!, joint: null, how: 4 }, log, told).what).toContain('not known');
    expect(eventLine(trips[0]!, log, { ...told, names: null }).what).toContain('joint 2');
  });

  it.each([
    [9.9, '9 s'],
    [61, '1 min 01 s'],
    [7380, '2 h 03 min'],
  ])('spell %f s as %s', (seconds, words) => {
    expect(spell(seconds)).toBe(words);
  });
});

describe('the page', () => {
  const page = renderLogReport('owl', log, { ...rig, name: 'owl' }, told);

  it('has the events, a plot for every joint, for supply, warmth and ticks, and says what is modelled', () => {
    expect(page.match(/<tr class="trouble">/g)).toHaveLength(3);
    expect(page.match(/<svg class="chart"/g)).toHaveLength(6);
    expect(page).toContain('does not tell where it is');
    expect(page).toContain('Warmth is a model');
    // The heading of a column stands over it.
    expect(page).toMatch(/\.events td:first-child, \.events th:first-child \{[^}]*padding-left: 10px/);
  });

  it('holds a show’s name as text, whatever it is', () => {
    expect(page).toContain('&lt;startle&gt; &amp; co');
    expect(page).not.toContain('<startle>');
  });

  it('without a rig shows shares of the range', () => {
    const bare = renderLogReport('board', log, null, { ...told, names: null });
    expect(bare).toContain('% of its range');
    expect(bare).toContain('joint 3');
  });
});

it('what cannot be read is counted, and what is blank is not', () => {
  const bytes = new Uint8Array(192).fill(0xff);
  bytes.fill(3, 64, 128);
  expect(parseEvents(bytes)).toEqual({ events: [], torn: 1 });
});
