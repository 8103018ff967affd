/** The place "Workshop". */
import type { JSX } from 'preact';

export const Workshop = (): JSX.Element => <section aria-label="Workshop" />;
