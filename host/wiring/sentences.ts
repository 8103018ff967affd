/** What to know before first power: cautions, the list to tick, and notes. Sentences without a stop. */
import type { Rig } from '../rig/rig.ts';
import { short, together } from '../rig/words.ts';
import { FUSE_MOST_V } from './fuse.ts';
import { FED_AT } from './pins.ts';
import { nightChecks } from './night-lines.ts';
import { PULL_DOWN_KOHM } from './parts.ts';
import type { Run, WiringAnswer } from './result.ts';
import { WIRES } from './wire.ts';

type Sized = Omit<WiringAnswer, 'parts' | 'cautions' | 'checklist' | 'notes' | 'troubles' | 'unknown' | 'ok'>;

const V = (value: number): string => `${short(value, 2)} V`;
const A = (value: number): string => `${short(value, 2)} A`;

function runTroubles(run: Run, what: string): string[] {
  const { label, stalled_a, moving_a, fuse_a, mm2 } = run;
  if (stalled_a === null || moving_a === null) return [];
  if (fuse_a === null)
    return [`${label}, ${what}: no blade fuse is large enough for ${A(moving_a)}; split the servos over two supplies`];
  const small =
    fuse_a < moving_a
      ? [`${label}, ${what}: a fuse of ${A(fuse_a)} blows while it moves, with up to ${A(moving_a)}`]
      : [];
  const largest = WIRES.at(-1)!.mm2;
  return mm2 === null
    ? [
        ...small,
        `${label}, ${what}: even ${String(largest)} mm² loses too much, or does not bear its fuse; make it shorter than ${short(run.length_m, 2)} m, or split the servos over two supplies`,
      ]
    : small;
}

/** What does not fit, a sentence each; empty: all fits. */
export function troublesOf({ trunk, servos, supply }: Sized): string[] {
  const { voltage_v, gives_a } = supply;
  return [
    ...runTroubles(trunk, 'from the supply to the star point'),
    ...servos.flatMap((run) => runTroubles(run, `to ${run.joint}`)),
    ...(gives_a !== null && trunk.stalled_a !== null && trunk.stalled_a > gives_a
      ? [
          `all servos stalled draw ${A(trunk.stalled_a)}, and the supply gives ${A(gives_a)}: if the prop jams, its voltage drops for every servo`,
        ]
      : []),
    ...(voltage_v !== null && voltage_v > FUSE_MOST_V
      ? [
          `blade fuses are for ${String(FUSE_MOST_V)} V at most, and the supply gives ${V(voltage_v)}: take fuses rated for that direct voltage`,
        ]
      : []),
  ];
}

/** What could not be chosen, and which figure of the rig is missing for it. */
export function unknownOf({ servos, supply, trunk, fed_back, capacitor }: Sized): string[] {
  const dark = [...new Set(servos.filter(({ stalled_a }) => stalled_a === null).map(({ servo }) => servo))];
  return [
    ...(dark.length > 0
      ? [
          `without stall_current_a of ${together(dark)} its fuses and wires, the main fuse and the trunk cannot be sized; take it from the data sheet, or measure it at the supply's voltage`,
        ]
      : trunk.stalled_a === null
        ? [
            'without any servo’s stall torque the sum of the currents is not known, and the main fuse and the trunk cannot be sized',
          ]
        : []),
    ...(supply.voltage_v === null
      ? [
          'without supply.voltage_v wires are chosen by the current they bear alone, without regard to what they lose; the capacitor’s voltage is not known',
        ]
      : []),
    ...(supply.voltage_v !== null && capacitor.volts === null
      ? ['which capacitor: none of the usual ones is for so high a voltage']
      : []),
    ...(supply.gives_a === null
      ? [
          'without supply.current_a nobody knows whether the supply gives enough, nor whether its own limit acts before the fuse blows',
        ]
      : []),
    ...(fed_back.unknown.length > 0
      ? [
          `what ${together(fed_back.unknown)} must hold is not known, or has no bound: what it feeds back as it falls is left out`,
        ]
      : []),
  ];
}

function fedBackNotes({ fed_back, supply, capacitor, power }: Sized): string[] {
  const { power_w, rises_to_v, for_s } = fed_back;
  if (power_w === null) return ['What a falling load feeds back is not known'];
  const rise =
    rises_to_v === null || supply.voltage_v === null
      ? ''
      : `; with ${String(capacitor.uf)} µF alone to take it the supply would rise from ${V(supply.voltage_v)} to ${V(rises_to_v)} in ${short(for_s, 2)} s`;
  const cut = power ? '. With Q1 open nothing but C1 and the servos themselves take it' : '';
  const taker =
    supply.kind === 'battery'
      ? 'A battery takes it, if it is not full'
      : 'Most mains supplies do not take it: measure the voltage while the prop comes down, and fit a clamp (a braking resistor) where it passes what servos and capacitor are made for';
  return [
    `Falling, the load feeds back ${short(power_w, 1)} W at most: torque to hold at the hardest place times the speed limit, of all joints at once, losses of the gears not counted${rise}. ${taker}${cut}`,
  ];
}

/** How currents, wires and fuses were chosen, and by which rule. */
export function notesOf(answer: Sized): string[] {
  const { trunk, supply, board, link, drop_share } = answer;
  const fed = FED_AT[board]?.words ?? 'its 5 V input';
  const late =
    trunk.fuse_a !== null && supply.gives_a !== null && supply.gives_a < 1.35 * trunk.fuse_a
      ? [
          `The main fuse blows late or never: the supply gives ${A(supply.gives_a)}, and a blade fuse of ${A(trunk.fuse_a)} needs 35 % more than its rating to blow within minutes (ISO 8820-3, from memory). The supply’s own limit acts first; the wires bear it`,
        ]
      : [];
  return [
    `Star point: the trunk ends at X1 (+) and X2 (0 V); every servo has its own two wires from there, and no servo feeds another`,
    `Common ground: one wire from the board’s ground to X2, beside the pulse wires; pulses mean nothing without it. Bond it to earth at one place, or nowhere, as your supply’s papers and local codes say`,
    `Logic supply: the board is fed by ${link === 'usb' ? 'the USB cable or ' : ''}G2, not from the servos’ rail, so that a stall does not reset it; G2 goes through V1 to ${fed}${link === 'usb' ? '. While the USB cable is in and the computer on, G2 and V1 may be left out. The servos are never fed from USB' : ''}`,
    link === 'usb'
      ? 'USB back-feed: V1 keeps G2 from feeding the computer through the USB plug; on a board without a diode of its own between plug and input, cut the 5 V wire of the cable too'
      : 'USB back-feed: if a USB cable is plugged in besides, V1 keeps G2 from feeding the computer; on a board without a diode of its own between plug and input, cut the 5 V wire of the cable too',
    `Pull-downs: ${String(PULL_DOWN_KOHM)} kΩ from every pulse pin to ground hold it low until the firmware runs, so that no servo moves at power-up (common practice)`,
    `Fuses: the next blade rating above the moving current (common practice). They protect the wire, not the servo: a stalled servo may stay below its fuse for long, and the wire bears that`,
    `Wires: copper at 20 °C, 1.7241e-8 Ω·m (IEC 60028), there and back; at most ${short(drop_share * 100, 1)} % of the supply’s voltage lost in all with everything stalled (common practice). Stranded wire has up to 15 % more resistance, warm wire up to 20 %. The servo’s own lead and plugs are not counted`,
    ...late,
    ...fedBackNotes(answer),
  ];
}

const CATEGORY = [
  'category 0: the servos’ power is cut at once',
  'category 1: the prop settles under control, then the servos are switched off',
  'category 2: the prop settles, and power stays on',
];

/** What can hurt in wiring this rig. */
export function cautionsOf({ rest }: Rig, { stop, power, supply }: Sized): string[] {
  return [
    'Work on wires only with the supply unplugged and C1 discharged',
    stop
      ? `The stop loop is normally closed, so that a broken wire stops too: ${CATEGORY[stop.category] ?? ''} (IEC 60204-1). It goes through software: it is no emergency stop. Fit S0, a real power cut-off, within reach`
      : 'The rig has no board.stop: nothing but S0 stops it. Give the rig file a stop pin, and wire a normally closed button to it',
    power
      ? `${power.pin_name} drives Q1 through a driver with its own supply: a pin gives 3.3 V and a few mA, too little for a coil`
      : 'The rig has no board.power_pin: the board cannot cut the servos’ power, and a servo without pulses may go on holding. S0 must do it',
    ...(rest === 'powered' ? ['Without power the prop falls: support it before S0 or the stop is tried'] : []),
    ...(supply.kind === 'battery'
      ? ['A shorted battery burns: F0 sits within a hand’s breadth of its + pole, before everything else']
      : [
          'The mains side is closed and finished as bought: do not open it. What is fixed to the building is for those with a licence',
        ]),
    'Local codes and the rules of the place come before this page; leave what they reserve for licensed practice to those who hold the licence',
  ];
}

/** What to tick before first power, in the order of the work. */
export function checklistOf({ servos, trunk, stop, power, measure, supply, link, night }: Sized): string[] {
  const volts = supply.voltage_v === null ? 'the voltage that the servos are made for' : V(supply.voltage_v);
  return [
    'Supply unplugged, S0 open, horns or rods off the servos',
    'Every cable bears its label at both ends',
    'Each wire pulled by hand: none comes out of its terminal',
    `No continuity between X1 and X2 (C1 may read low for a moment)`,
    `Fuse F0 is ${trunk.fuse_a === null ? 'UNKNOWN: do not go on' : A(trunk.fuse_a)}; every servo has its own`,
    'C1 the right way round: stripe to X2',
    'Board ground joined to X2, once',
    `Every pulse pin reads ${String(PULL_DOWN_KOHM)} kΩ to ground with the board unplugged`,
    ...servos.map(({ label, pin_name, joint }) => `${label}: ${pin_name} goes to ${joint}, and to nothing else`),
    ...(stop
      ? [`Stop loop: ${stop.pin_name} to ground reads closed; open with S1 pressed, and with either wire off`]
      : []),
    ...(power ? [`Q1 is open with ${power.pin_name} unplugged`] : []),
    ...(measure
      ? [
          `${measure.pin_name} reads ${short((100 * measure.lower_kohm) / (measure.lower_kohm + measure.upper_kohm), 1)} % of the supply’s voltage`,
        ]
      : []),
    ...nightChecks(night),
    link === 'usb'
      ? 'USB: with only G2 on, if it is fitted, the plug carries no 5 V'
      : 'Link: the UART adapter is set to 3.3 V; TX to receive, RX to send, ground to ground, and its 5 V pin to nothing',
    ...(power ? ['Supply on, board off: X1 is dead, for Q1 is open'] : []),
    `Supply on with F1 to F${String(servos.length)} out${power ? ', the board on and roused' : ''}: X1 reads ${volts}, + at X1`,
    'Supply off, fuses in; board on, then supply on: no servo moves before it is roused',
    'S0 opened: X1 is dead within a second or two, as C1 empties',
  ];
}
