/** How the host reaches a board: which links there is firmware for, and which one a rig means that names none. */

export type Link = 'usb' | 'uart0';
export const LINKS = ['usb', 'uart0'] as const;

/** Rate of every board's UART, baud: a board learns its rig over the link, so a rig cannot choose how fast that is. */
export const BAUD = 500_000;

/** Boards with USB (boards/pico/usb.c); any other has its serial port alone. */
const WITH_USB: readonly unknown[] = ['pico'];

/** The link of a board whose rig names none: USB where there is one. `kind` as a rig file has it. */
export const usualLink = (kind: unknown): Link => (WITH_USB.includes(kind) ? 'usb' : 'uart0');

type Raw = Readonly<Record<string, unknown>>;

/** What is wrong with a board's link, in words; null: nothing. */
export const linkFault = ({ kind, link }: Raw): string | null =>
  link === 'usb' && usualLink(kind) !== 'usb'
    ? `found "usb", but ${typeof kind === 'string' ? `${kind} has` : 'this board has'} no link over USB, only a pico has; allowed: uart0`
    : null;

/** What is wrong with a rate beside a link that has none, in words; null: nothing. */
export const baudFault = ({ kind, link = usualLink(kind), baud }: Raw): string | null =>
  link === 'usb' && baud !== undefined
    ? `does not belong here: a link over USB has no rate, and usb is a pico’s link unless link: uart0 says otherwise`
    : null;
