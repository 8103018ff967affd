/** The stand-in for a prop and its person, on its own: what it makes of pulses at the emulated pico's pins, and what it answers. */
import { describe, expect, it } from 'vitest';
import { packImage } from '../../../host/controller/image.ts';
import { RESULT, TYPE } from '../../../host/controller/messages.ts';
import { Conversation } from '../../../host/replay/conversation.ts';
import { firmwareOf, has } from '../../boards/firmware.ts';
import { builtProp, perchRig } from './perch.ts';
import type { TrueProp } from './true-prop.ts';
import { TrueServo } from './true-servo.ts';
import { Cable, watchedPico } from './watched.ts';

const PLAIN = {
  neutral_us: 1500,
  us_per_deg: 10,
  sense: -1,
  horn_deg: 3,
  spline_teeth: 24,
  dead_us: 4,
  speed_deg_s: 400,
  binds_deg: [-40, 40],
  stood_deg: 3,
} as const;
const FRAME_US = 20_000;

/** Feeds a servo with pulses a frame apart; the last one's end. */
function fed(servo: TrueServo, width_us: number, frames: number, from_us = 0): number {
  for (let n = 1; n <= frames; n++) servo.pulse(width_us, from_us + n * FRAME_US);
  return from_us + frames * FRAME_US;
}

describe('a servo', () => {
  it('turns by its own centre, scale and sense, less half its dead band', () => {
    const servo = new TrueServo(PLAIN);
    const at = fed(servo, 1400, 50);
    expect(servo.reading_deg(at)).toBeCloseTo(13 - 0.2, 6);
    expect(servo.reading_deg(fed(servo, 1600, 50, at))).toBeCloseTo(-7 + 0.2, 6);
  });

  it('stands still until the pulse has gone further than its dead band', () => {
    const servo = new TrueServo(PLAIN);
    const at = fed(servo, 1400, 50);
    const stood = servo.reading_deg(at);
    expect(servo.reading_deg(fed(servo, 1404, 50, at))).toBe(stood);
    expect(servo.reading_deg(fed(servo, 1405, 50, at + 1e6))).toBeCloseTo(stood - 0.1, 6);
  });

  it('takes its time, and stays where it is without pulses', () => {
    const servo = new TrueServo(PLAIN);
    const at = fed(servo, 1200, 3);
    expect(servo.reading_deg(at + 1e6)).toBeCloseTo(3 + 400 * 0.04, 6);
  });

  it('strains beyond its stop, and goes no further', () => {
    const servo = new TrueServo(PLAIN);
    const at = fed(servo, 1000, 50);
    expect(servo.strain_deg(at)).toBeCloseTo(53 - 40 - 0.2, 6);
    expect(servo.reading_deg(at)).toBe(40);
    expect(servo.strain_deg(at + 1e6)).toBe(0);
  });

  it('has its horn a tooth further on', () => {
    const servo = new TrueServo(PLAIN);
    servo.refit(-1);
    expect(servo.reading_deg(fed(servo, 1500, 50))).toBeCloseTo(-12, 0);
    expect(servo.pulseAt(0)).toBe(1500 - 120);
  });
});

/** Runs with pulses, every servo in the middle of the rig. */
async function roused(prop: TrueProp, cable = new Cable()): Promise<Conversation> {
  const talk = await Conversation.open(watchedPico(firmwareOf('pico').image, prop, cable), {
    telemetry: () => undefined,
  });
  await talk.load(packImage(perchRig()));
  expect(await talk.ask(talk.send.report(1))).toBe(RESULT.done);
  expect(await talk.rouse()).toBe(true);
  return talk;
}

describe.skipIf(!has('arm-none-eabi-gcc'))('the prop on the emulated pico', () => {
  it('stands where its own figures put it, not where the rig thinks', async () => {
    const prop = builtProp();
    const talk = await roused(prop);
    // Home is level: every pulse is the rig's centre, 1500 us.
    for (const { name, servo } of prop.joints) {
      const { horn_deg, neutral_us, us_per_deg, sense, dead_us } = servo.truth;
      const told = Number(await prop.ask({ id: 'centre.reading', joint: name, text: '', unit: 'deg' }));
      const off_deg = Math.abs(told - (horn_deg + (sense * (1500 - neutral_us)) / us_per_deg));
      expect(off_deg, name).toBeLessThanOrEqual(dead_us / 2 / us_per_deg + 0.05 + 1e-9);
    }
    expect(new Set(prop.pulses.map(({ pin }) => pin)).size).toBe(6);
    await talk.session.close();
  });

  it('hears nothing of a pulled cable, and settles by itself', async () => {
    const [prop, cable] = [builtProp(), new Cable()];
    const talk = await roused(prop, cable);
    cable.isPulled = true;
    await expect(talk.ask(talk.send.command(TYPE.pause))).rejects.toThrow(/does not answer/);
    await talk.session.advance(talk.session.now_us + 30e6);
    const last_us = prop.pulses.at(-1)!.at_us;
    expect(prop.now_us - last_us).toBeGreaterThan(1e6);
    expect(last_us).toBeGreaterThan(1e6);
    await talk.session.close();
  });
});

describe('its person', () => {
  it('says once that it binds, a quarter of a second after it strains', () => {
    const prop = builtProp();
    const { servo } = prop.joints[0]!;
    const heard: number[] = [];
    for (let n = 1; n <= 30; n++) {
      prop.pulse(2, servo.pulseAt(60), n * FRAME_US);
      prop.at(n * FRAME_US);
      if (prop.binds()) heard.push(n);
    }
    expect(heard).toHaveLength(2);
    expect(heard[0]).toBe(14);
  });

  it('moves a horn by the teeth it is told to, and reads height and tilt off the true plate', async () => {
    const prop = builtProp();
    const ask = (id: string, joint: string | null, text: string, unit: 'deg' | 'mm' | null): Promise<string> =>
      prop.ask({ id, joint, text, unit });
    expect(await ask('centre.refit', 'leg3', 'move the horn 2 teeth toward minus', null)).toBe('');
    expect(prop.servo('leg3').pulseAt(0)).toBeCloseTo(1504 + 10.08 * (31.2 - 28.8), 6);
    for (let n = 1; n <= 200; n++)
      for (const { pin, servo } of prop.joints) prop.pulse(pin, servo.pulseAt(0), n * FRAME_US);
    prop.at(200 * FRAME_US);
    // Cranks level: the drawing's closed form, |tip to plate|² = rod², gives the home of the built geometry.
    expect(Number(await ask('estimate.height', null, '', 'mm'))).toBeCloseTo(prop.platform!.home_z_mm, 0);
    expect(Math.abs(Number(await ask('estimate.tilt_x', null, '', 'deg')))).toBeLessThan(0.7);
  });

  it('presses the one key', async () => {
    const prop = builtProp();
    prop.settleNow = true;
    expect([prop.settles(), prop.settles()]).toEqual([true, false]);
    prop.settleNow = true;
    await expect(prop.ask({ id: 'scale.reading', joint: 'leg1', text: '', unit: 'deg' })).rejects.toThrow();
  });
});
