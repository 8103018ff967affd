import { readRig } from './host/rig/read.ts';
import { readFileSync } from 'node:fs';
import { retimings } from './host/build/bench/retimings.ts';
const { rig } = readRig(readFileSync('demo/night-owl.yaml','utf8'));
const c0 = process.cpuUsage();
await retimings(rig!, (l='')=>{ const c=process.cpuUsage(c0); return process.stdout.write(l+'   [cpu '+((c.user+c.system)/1e6).toFixed(1)+' s]\n'); });
