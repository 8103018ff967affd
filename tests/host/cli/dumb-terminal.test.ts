/** The person at a dumb terminal: keys come by lines, an empty one for Space, s for Escape. */
import { PassThrough } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { SettleAsked } from '../../../host/bringup/person.ts';
import { consolePerson } from '../../../host/cli/bringup/console-person.ts';

const QUESTION = { id: 'scale.reading', joint: 'leg1', text: 'Read leg1', unit: 'deg' } as const;
const soon = () => new Promise((wake) => setTimeout(wake, 5));

function atDumb() {
  const input = new PassThrough();
  let shown = '';
  const output = Object.assign(new PassThrough(), { write: (text: string) => ((shown += text), true) });
  const terminal = { input: input as unknown as NodeJS.ReadStream, isDumb: true };
  const person = consolePerson(terminal, output as unknown as NodeJS.WriteStream, {
    write: (text) => (shown += text),
  });
  return { person, types: (text: string) => input.write(text), shown: () => shown };
}

describe('at a dumb terminal', () => {
  it('a question is answered by a line, and tells the key that settles', async () => {
    const { person, types, shown } = atDumb();
    const answer = person.ask(QUESTION);
    types('12.5\n');
    expect(await answer).toBe('12.5');
    expect(shown()).toBe('Read leg1\ndeg (s settles)> ');
    person.close();
  });

  it('s settles, at a question and while something moves', async () => {
    const { person, types } = atDumb();
    const answer = person.ask(QUESTION);
    types('s\n');
    await expect(answer).rejects.toBeInstanceOf(SettleAsked);
    expect(person.settles()).toBe(false);
    types('s\n');
    await soon();
    expect(person.settles()).toBe(true);
    person.close();
  });

  it('Enter alone says that it binds, once', async () => {
    const { person, types } = atDumb();
    expect(person.binds()).toBe(false);
    types('\n');
    await soon();
    expect([person.binds(), person.binds(), person.settles()]).toEqual([true, false, false]);
    person.close();
  });

  it('that is gone settles what moves', async () => {
    const { person } = atDumb();
    person.close();
    await soon();
    expect(person.settles()).toBe(true);
    await expect(person.ask(QUESTION)).rejects.toBeInstanceOf(SettleAsked);
  });
});
