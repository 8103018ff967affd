/** How to wire this rig: pins and cables, currents, wires and fuses, what protects it, and what to look at before first power. */
import { type LoadQuestion, load } from '../load/load.ts';
import type { LoadAnswer } from '../load/result.ts';
import { BOARD_KINDS, boardFaults, supplyPin } from '../rig/boards.ts';
import { type Board, HOME, type Rig } from '../rig/rig.ts';
import { together } from '../rig/words.ts';
import { fedBack } from './fed-back.ts';
import { nightLines } from './night-lines.ts';
import { capacitorFor, partsOf } from './parts.ts';
import { FED_AT, pinName } from './pins.ts';
import type { WiringAnswer } from './result.ts';
import { DROP_SHARE_EACH, type Lengths, servoRuns, trunkRun } from './runs.ts';
import { cautionsOf, checklistOf, notesOf, troublesOf, unknownOf } from './sentences.ts';

/** Why there is no drawing: key path in the rig file, and words without a stop. */
export interface Refused {
  readonly path: string;
  readonly message: string;
}

const BOARDS = BOARD_KINDS.filter((kind) => kind in FED_AT);

function refusals(rig: Rig): Refused[] {
  const { board, supply } = rig;
  const kinds = together(BOARDS);
  const missing: Refused[] = [
    ...(board
      ? []
      : [{ path: 'board', message: `is missing: pins have no names without a board; there are ${kinds}` }]),
    ...(supply
      ? []
      : [{ path: 'supply', message: 'is missing: its kind and its voltage_v decide wires, capacitor and fuses' }]),
  ];
  if (!board) return missing;
  if (board.kind === 'native')
    return [
      ...missing,
      {
        path: 'board.kind',
        message: `found native, which is a program without pins: there is nothing to wire; allowed: ${kinds}`,
      },
    ];
  if (!BOARDS.includes(board.kind))
    return [
      ...missing,
      { path: 'board.kind', message: `found ${board.kind}, whose pins are not known; allowed: ${kinds}` },
    ];
  const faults = boardFaults(rig, board.kind).map(({ path, message }) => ({ path: path.join('.'), message }));
  return [...missing, ...faults];
}

/** The whole answer, or all that keeps it from being given. Without a stream the moving currents are those that peak_use allows. */
export function wiring(
  rig: Rig,
  lengths: Lengths,
  stream: LoadQuestion['stream'],
): WiringAnswer | { readonly refused: readonly Refused[] } {
  const refused = refusals(rig);
  if (refused.length > 0 || !rig.board || !rig.supply) return { refused };
  const loads = load(rig, { pose: HOME, without: [], stream });
  if ('refused' in loads) return { refused: [{ path: 'home', message: loads.refused }] };
  return answer(rig, rig.board, rig.supply, lengths, loads);
}

function answer(
  rig: Rig,
  board: Board,
  supply: NonNullable<Rig['supply']>,
  lengths: Lengths,
  loads: LoadAnswer,
): WiringAnswer {
  const { kind, link, stop, power_pin } = board;
  const servos = servoRuns(rig, kind, loads, lengths);
  const capacitor = capacitorFor(servos.length, supply.voltage_v);
  const divider = supply.low_v === null ? null : supplyPin(kind);
  const sized = {
    rig: rig.name,
    board: kind,
    link,
    supply: { kind: supply.kind, voltage_v: supply.voltage_v, gives_a: loads.supply.gives_a },
    trunk: trunkRun(rig, servos, loads, lengths),
    drop_share: 2 * DROP_SHARE_EACH,
    servos,
    stop: stop && { pin: stop.pin, pin_name: pinName(kind, stop.pin), category: stop.category },
    power: power_pin === null ? null : { pin: power_pin, pin_name: pinName(kind, power_pin) },
    measure: divider && { pin_name: divider.name, upper_kohm: divider.upper_kohm, lower_kohm: divider.lower_kohm },
    night: nightLines(rig, kind),
    capacitor,
    fed_back: fedBack(rig, loads, capacitor.uf),
  };
  const troubles = troublesOf(sized);
  const unknown = unknownOf(sized);
  const sure = [sized.trunk, ...servos].every(({ mm2 }) => mm2 !== null);
  const told = { ...sized, ok: troubles.length === 0 && sure, troubles, unknown };
  return {
    ...told,
    parts: partsOf(told),
    notes: notesOf(sized),
    cautions: cautionsOf(rig, sized),
    checklist: checklistOf(sized),
  };
}
