/** What stands on the night card, as plain data: the light, the button, the stop, cables and spare servos, cautions. */
import { pinName } from '../wiring/pins.ts';
import { supplyWords } from '../rig/boards.ts';
import { pulseAt } from '../rig/pulse.ts';
import type { Joint, Rig } from '../rig/rig.ts';
import { capital, short, together } from '../rig/words.ts';
import { toShown } from '../rig/rig.ts';
import { BUTTON, type LightCode, type LightNeeds, codesFor } from './light-words.ts';

/** One joint's cable, and what its servo must be told if it is replaced. Pulses in us. */
export interface CardJoint {
  /** On both ends of its cable, as `wiring` labels it. */
  readonly label: string;
  readonly joint: string;
  readonly servo: string;
  /** As the board names it, and where that is. */
  readonly pin: string;
  readonly connector: string;
  readonly rest_us: number;
  readonly home_us: number;
  /** At the lower soft limit and at the upper one. */
  readonly ends_us: readonly [lower: number, upper: number];
  /** The same places, in words. */
  readonly ends: string;
}

/** Of the light and the button: where each is connected. */
export interface CardLine {
  readonly what: string;
  readonly pin: string;
  readonly connector: string;
}

export interface Card {
  readonly rig: string;
  readonly board: string;
  /** What its light can blink; none without a light. */
  readonly codes: readonly LightCode[];
  /** What its button does; nothing without one. */
  readonly button: readonly string[];
  readonly joints: readonly CardJoint[];
  /** Where the stop is, and what it does. */
  readonly stop: readonly string[];
  /** Light, warning and button of the night; empty without one. */
  readonly lines: readonly CardLine[];
  readonly cautions: readonly string[];
}

/** Pins of the Pico's edge, by GPIO (Raspberry Pi Pico data sheet, pinout). */
const PICO_EDGE = [1, 2, 4, 5, 6, 7, 9, 10, 11, 12, 14, 15, 16, 17, 19, 20, 21, 22, 24, 25, 26, 27, 29];
const PICO_ANALOG: Readonly<Record<number, number>> = { 26: 31, 27: 32, 28: 34 };

function connectorOf(kind: string, pin: number): string {
  if (kind !== 'pico') return kind === 'f405' ? 'see the board’s own print' : '';
  const edge = PICO_EDGE[pin] ?? PICO_ANALOG[pin];
  return edge === undefined ? '' : `edge pin ${String(edge)}`;
}

const place = (joint: Joint, value: number): string => short(toShown(joint, value)).replace('-', '\u2212');

function cardJoint(joint: Joint, i: number, kind: string): CardJoint {
  const pulse = (position: number): number => Math.round(pulseAt(joint, position));
  const unit = joint.unit === 'deg' ? '°' : ' mm';
  return {
    label: `W${String(i + 1)}`,
    joint: joint.name,
    servo: joint.servo.name,
    pin: kind === '' ? `pin ${String(joint.pin)}` : pinName(kind, joint.pin),
    connector: connectorOf(kind, joint.pin),
    rest_us: pulse(joint.rest),
    home_us: pulse(joint.home),
    ends_us: [pulse(joint.lo), pulse(joint.hi)],
    ends: `${place(joint, joint.lo)} to ${place(joint, joint.hi)}${unit}`,
  };
}

const CATEGORIES = [
  'It cuts the pulses at once, and the prop drops to where it falls.',
  'The prop goes to its rest by itself, and then has no power. That takes a few seconds.',
  'The prop goes to its rest by itself, and stays powered there. Keep away from it.',
];

function stopWords({ board }: Rig): readonly string[] {
  const stop = board?.stop;
  if (!board || !stop) return ['This prop has no stop input. To stop it, switch off at the supply.'];
  return [
    CATEGORIES[stop.category] ?? '',
    `Its loop ends at ${pinName(board.kind, stop.pin)}, and is closed in use: a broken wire stops the prop too.`,
  ];
}

const softwareWords = (what: readonly string[]): string => {
  if (what.length === 0) return 'Everything here goes through software: nothing is a safety device.';
  const [go, they] = what.length === 1 ? ['goes', 'it is'] : ['go', 'they are'];
  return `${capital(together(what))} ${go} through software: ${they} no safety device.`;
};

/** In the order of the harm. */
function cautionsOf({ rest, board, night }: Rig): readonly string[] {
  const drops =
    rest === 'on_stop'
      ? 'Without power it can drop: support the head before you take a servo, a rod or a horn off.'
      : 'Without power it sinks or drops: keep clear, and support it before you take a servo, a rod or a horn off.';
  return [
    'It pinches: no fingers between plates, rods, cranks and lids while it has power, even when it stands still. It can move at any time.',
    drops,
    `${softwareWords([
      ...((night?.light_pin ?? null) === null ? [] : ['this light']),
      ...((night?.button_pin ?? null) === null ? [] : ['this button']),
      ...(board?.stop ? ['the stop input'] : []),
    ])} In an emergency cut the power.`,
    'Local codes, and whoever is responsible for the building, come first.',
  ];
}

function cardLines({ night }: Rig, kind: string): CardLine[] {
  const { light_pin = null, warn_pin = null, button_pin = null } = night ?? {};
  const line = (what: string, pin: number | null): CardLine[] =>
    pin === null
      ? []
      : [{ what, pin: kind === '' ? `pin ${String(pin)}` : pinName(kind, pin), connector: connectorOf(kind, pin) }];
  return [
    ...line('light', light_pin),
    ...line('warning', warn_pin === light_pin ? null : warn_pin),
    ...line('button', button_pin),
  ];
}

/** Where light, warning and button are connected, in a sentence; null: the rig has no night. */
export const linesWords = ({ lines }: Card): string | null =>
  lines.length === 0
    ? null
    : `${lines.map(({ what, pin, connector }) => `${what}: ${pin}${connector === '' ? '' : ` (${connector})`}`).join('; ')}.`;

const needsOf = (rig: Rig): LightNeeds => ({
  hasButton: (rig.night?.button_pin ?? null) !== null,
  hasStop: (rig.board?.stop ?? null) !== null,
  watchesSupply: supplyWords(rig) !== null,
});

/** What the rig has not for whoever looks after the prop, in words; null: it has all. */
export function cardLacks({ night }: Rig): string | null {
  if (!night) return 'the rig file has no night: the card has no light and no button';
  const lacks = [
    ...(night.light_pin === null ? ['no light (night.light_pin)'] : []),
    ...(night.button_pin === null ? ['no button (night.button_pin)'] : []),
  ];
  return lacks.length === 0 ? null : `the rig file gives ${together(lacks)}: the card has none`;
}

/** What the card is for, under its name. */
export const titleWords = ({ codes }: Card): string =>
  codes.length === 0
    ? 'Night card: the stop, cautions, and what a spare servo is given.'
    : 'Night card: what the light says, and what to do next.';

export function cardOf(rig: Rig): Card {
  const kind = rig.board?.kind ?? '';
  return {
    rig: rig.name,
    board: kind,
    codes: (rig.night?.light_pin ?? null) === null ? [] : codesFor(needsOf(rig)),
    button: (rig.night?.button_pin ?? null) === null ? [] : BUTTON,
    joints: rig.joints.map((joint, i) => cardJoint(joint, i, kind)),
    stop: stopWords(rig),
    lines: cardLines(rig, kind),
    cautions: cautionsOf(rig),
  };
}

/** For whoever changes a servo. */
export const SPARE =
  'Before a new servo is fitted: unplug its rod, give it the pulse "rest" on a servo tester, and put its horn on as the old one stood. Then check the ends by hand, slowly. Mark spares in advance.';
