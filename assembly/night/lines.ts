/** What the night shows: the light, the warning, the sound, and what the record is told. */
import { inputs } from '../layout';
import { state, trip } from '../guard';
import { State } from '../states';
import { Sign, shine } from './light';
import { setLines } from './pins';
import { NOBODY, Night, plan } from './plan';
import * as player from './player';
import * as triggers from './triggers';
import { tell } from './seen';
import { atRest, mustLook, nightState, now, signOf } from './standing';

/** The lines, and what the record is told. */
export function showNight(): void {
  const n = now();
  const warning = n.phase == Night.warning;
  let on: u32 = n.phase >= Night.crossing ? player.soundLine() : 0;
  if (shine(sign())) on |= line(plan().light);
  if (warning) on |= line(plan().warn);
  setLines(on);
  tell(nightState(), n.phase >= Night.crossing && n.phase <= Night.playing ? n.show : NOBODY, u16(player.secondNow()));
}

// @ts-ignore: decorator
@inline export function line(k: u8): u32 {
  return k < 8 ? u32(1) << u32(k) : 0;
}

export function sign(): Sign {
  const n = now();
  if (n.phase == Night.warning) return Sign.lit;
  if (!atRest()) return Sign.dark;
  if (inputs().stop_open) return Sign.stopLoop;
  if (n.barred != Sign.dark) return n.barred;
  if (state() == State.tripped) return signOf(trip());
  if (mustLook()) return Sign.powerLost;
  if (n.damaged) return Sign.damaged;
  if (n.halted && triggers.startsAlone()) return Sign.look;
  return nightState() == Night.cooling ? Sign.cooling : Sign.ready;
}
