/** The demo's owl with a night, invented: what the tests of shows play on. */
import { readFileSync } from 'node:fs';

export const NIGHT = `night:
  light_pin: 18
  warn_pin: 21
  button_pin: 19
  idle:
    look: { yaw_deg: 6, pitch_deg: 3, ears_deg: 15 }
    breath: { z_mm: 1, nod_deg: 0.5 }
    lids: { lid: { open_deg: 45 } }
  inputs:
    door: { pin: 26 }
    foot: { pin: 22, kind: level, inverted: true, by: visitor }
  sounds: { hoot: 27 }
  shows:
    gentle: { start: foot, sound: hoot, sound_ms: 300, sound_lead_ms: 120 }
    nod: { start: door }
  schedule:
    - { after_s: 600, show: nod }
    - { after_s: 60, show: gentle }
`;

/** An owl that may play with nobody there: its board switches no power, for want of a pin. */
export const nightOwl = (night = NIGHT): string =>
  readFileSync('host/demo/night-owl.yaml', 'utf8')
    .replace('audience: bench ', 'audience: behind_barrier ')
    .replace(', power_pin: 21', '') + night;
