/**
 * What the prop's one light says: two digits, blinked one after the other, numbered by what the attendant does next and not by what is
 * wrong. This is the only list of them; the card prints those of its rig, and assembly/night/light.ts blinks their numbers.
 */

export interface LightCode {
  readonly code: readonly [first: number, second: number];
  /** What is so, in a few words. */
  readonly means: string;
  /** What to do next. */
  readonly then: string;
}

/** The first digit is what to do: 1 nothing, 2 look and clear, 3 the stop, 4 the supply, 5 the maker. */
export const LIGHT_CODES: readonly LightCode[] = [
  { code: [1, 1], means: 'It is ready.', then: 'Nothing to do.' },
  { code: [1, 2], means: 'It is cooling down.', then: 'Nothing to do: it goes on by itself.' },
  {
    code: [2, 1],
    means: 'It stopped, and waits for you.',
    then: 'Look that nobody is near it and nothing is caught. Then hold the button for three seconds.',
  },
  {
    code: [2, 2],
    means: 'The power went while it moved.',
    then: 'Look first: is it where it should be, is nothing caught, is nobody near? Then hold the button for three seconds.',
  },
  { code: [3, 1], means: 'The stop is pressed.', then: 'When all is safe, release the stop.' },
  {
    code: [4, 1],
    means: 'The supply is too low.',
    then: 'Charge the battery, or look at the supply and its plugs. Then hold the button for three seconds.',
  },
  {
    code: [5, 1],
    means: 'The board stopped itself.',
    then: 'Switch off at the supply. Do not try again. Call the maker.',
  },
  { code: [5, 2], means: 'A stored show is damaged.', then: 'Switch off at the supply. Call the maker.' },
];

export const codeName = ({ code: [first, second] }: LightCode): string => `${String(first)}-${String(second)}`;

export const READING =
  'The light blinks a first number, waits a moment, blinks a second number, then stays dark longer and begins again. Count both.';

export const BUTTON: readonly string[] = [
  'Press it briefly while the prop moves: it ends what it does and goes to its rest, slowly.',
  'Hold it for three seconds while the prop is at rest: you say that you have looked and it may go on. The light and the sound warn before it moves.',
];

/** For a prop without a button: what holding it would have done. */
const WITHOUT_BUTTON = 'Then call the maker: this prop has no button, and only a computer lets it go on.';

/** Of a prop: whether it has a button, a stop input, and a board that watches its supply. */
export interface LightNeeds {
  readonly hasButton: boolean;
  readonly hasStop: boolean;
  readonly watchesSupply: boolean;
}

/** The codes that such a prop can blink, with what can be done there. */
export const codesFor = ({ hasButton, hasStop, watchesSupply }: LightNeeds): LightCode[] =>
  LIGHT_CODES.filter(({ code: [first] }) => (first !== 3 || hasStop) && (first !== 4 || watchesSupply)).map((it) =>
    hasButton ? it : { ...it, then: it.then.replace('Then hold the button for three seconds.', WITHOUT_BUTTON) },
  );
