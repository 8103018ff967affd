/** What a board calls the pins that a rig file numbers. */

/** boards/f405/board_config.h: pins 2 to 21 in their order. */
const F405 = 'PA0 PA1 PA2 PA3 PA5 PB3 PB10 PB11 PC6 PC7 PC8 PC9 PB6 PB7 PB8 PB9 PC0 PC1 PC2 PC3'.split(' ');

/** A board’s own name of a pin number of the rig file, such as GPIO 2 or PA0. */
export const pinName = (kind: string, pin: number): string =>
  kind === 'f405' ? (F405[pin - 2] ?? `pin ${String(pin)}`) : `GPIO ${String(pin)}`;

/** Where the board takes its own supply, and its ground. */
export const FED_AT: Readonly<Record<string, { readonly pin: string; readonly words: string }>> = {
  pico: { pin: 'VSYS', words: 'VSYS (1.8 to 5.5 V; Pico data sheet, "Powering Pico")' },
  f405: { pin: '5V', words: 'the 5 V input of the board that the chip sits on' },
};
