/**
 * Looking ahead: with a look-ahead of its braking time and a tick no joint goes past what it is asked, whatever that is; inside
 * the limits not one bit is changed by it. What is asked is what a twin of every joint does that has no limits to speak of.
 */
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { ticksToStop } from '../../host/rig/look-ahead.ts';
import { type Joint, type Rig, toDeg } from '../../host/rig/rig.ts';
import { pastOf, wildJoints } from './ahead-streams.ts';

const SEED = 91;
