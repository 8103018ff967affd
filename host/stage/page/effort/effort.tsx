/** The place "Effort". */
import type { JSX } from 'preact';

export const Effort = (): JSX.Element => <section aria-label="Effort" />;
