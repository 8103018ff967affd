/** The place "Takes". */
import type { JSX } from 'preact';

export const Takes = (): JSX.Element => <section aria-label="Takes" />;
