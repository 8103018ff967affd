/** All workshop measurements, in the order in which a prop is measured. */
import { BALANCE } from './balance.ts';
import type { Measurement } from './measurement.ts';
import { MESH } from './from-mesh.ts';
import { PULL } from './pull.ts';
import { SAG } from './sag.ts';
import { STALL } from './stall.ts';
import { SWING } from './swing.ts';
import { WOBBLE } from './wobble.ts';

export const MEASUREMENTS: readonly Measurement[] = [PULL, BALANCE, SWING, MESH, SAG, WOBBLE, STALL];
