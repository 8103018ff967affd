/** The place "Hand". */
import type { JSX } from 'preact';

export const Hand = (): JSX.Element => <section aria-label="Hand" />;
