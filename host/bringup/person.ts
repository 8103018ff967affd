/**
 * Who does what a bring-up asks for: somebody at a console, a script's words, or a test that stands in for hands, eyes and a prop.
 * Nothing here moves anything.
 */

/** What a person reads off the prop, or does to it. */
export interface Question {
  /** What is asked for, for whoever answers without reading: `centre.reading`, `scale.reading`, `estimate.height` … */
  readonly id: string;
  /** The joint that it is about; null: the whole prop. */
  readonly joint: string | null;
  /** One sentence, with its caution where there is one. */
  readonly text: string;
  /** The unit of the number that answers it; null: Enter says that it is done. */
  readonly unit: 'deg' | 'mm' | 'us' | null;
}

export interface Person {
  /** Tells something, in one sentence or more. */
  say(words: string): void;
  /** Asks, and resolves what was typed, unchecked. The prop holds still meanwhile. Rejects with `SettleAsked`. */
  ask(question: Question): Promise<string>;
  /** Whether "it binds" has been said since this was last called. Called at every step of a walk, 50 times a second. */
  binds(): boolean;
  /** Whether the one key that settles has been pressed. Called at every step of any motion. */
  settles(): boolean;
}

/** The one key was pressed while something was asked: the prop settles, and the verb ends. */
export class SettleAsked extends Error {}
