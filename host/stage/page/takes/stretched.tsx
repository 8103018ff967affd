/** A drawing of the time line that is as wide as its place: WIDE units across, whatever the page has for them. */
import type { ComponentChildren, JSX } from 'preact';
import { WIDE } from './view.ts';

/** @param high px, and as many of the drawing's units */
export const Stretched = ({
  high,
  children,
}: {
  readonly high: number;
  readonly children: ComponentChildren;
}): JSX.Element => (
  <svg
    viewBox={`0 0 ${String(WIDE)} ${String(high)}`}
    preserveAspectRatio="none"
    width="100%"
    height={high}
    aria-hidden="true"
  >
    {children}
  </svg>
);
