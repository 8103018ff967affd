/** What the guard does with places that outlive a reset, and with a new rig image, through the link and the board's inputs. */
import { describe, expect, it } from 'vitest';
import { RESET } from '../../host/controller/controller.ts';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { RESULT, TYPE } from '../../host/controller/messages.ts';
import { feed, live } from './guarded.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

describe('places', () => {
  it('a record that survived is where the first pulses are', () => {
    const before = live();
    feed(before, 1, [5, 2, 0, 0.05, 0, 0, 0.3, 0.5]);
    const widths = [...before.controller.pulses];
    const prop = new Prop(before.rig, { resetReason: RESET.pin, places: before.controller.places() });
    prop.ask(TYPE.rouse);
    prop.seconds(3.1);
    expect([...prop.controller.pulses]).toEqual(widths);
    prop.until('live');
  });

  it('a record of nonsense is clamped to the limits', () => {
    const places = new Uint8Array(96).fill(0xff);
    const prop = new Prop(rigOf(), { resetReason: RESET.watchdog, places });
    prop.seconds(1);
    for (const [i, joint] of prop.rig.joints.entries()) {
      expect(prop.telemetry.position[i]).toBeGreaterThanOrEqual(joint.lo - 1e-6);
      expect(prop.telemetry.position[i]).toBeLessThanOrEqual(joint.hi + 1e-6);
    }
  });
});

describe('the rig image', () => {
  const send = (prop: Prop, image: Uint8Array): number => {
    prop.answers.length = 0;
    for (const frame of prop.send.image(image)) {
      prop.tell(frame);
      prop.run(1);
    }
    return prop.answers.at(-1)!.result;
  };

  it('is taken when whole, only when limp', () => {
    const other = packImage(rigOf({ hz: 400 }));
    const prop = live();
    expect(send(prop, other)).not.toBe(RESULT.done);
    prop.ask(TYPE.settle);
    prop.until('limp');
    const count = prop.controller.imageCount;
    expect(send(prop, other)).toBe(RESULT.done);
    expect(prop.controller.imageCount).toBe(count + 1);
    expect([...prop.controller.storedImage()]).toEqual([...other]);
  });

  it('that the flash did not take is in force, and both the answer and `who` say so', () => {
    const other = packImage(rigOf({ hz: 400 }));
    for (const stores of [true, false]) {
      const prop = new Prop(rigOf(), { stores });
      const who = (): unknown => {
        prop.tell(prop.send.command(TYPE.who));
        prop.run(1);
        return { print: prop.iAm?.fingerprint, stored: prop.iAm?.stored };
      };
      // What it started with came from the flash.
      expect(who()).toEqual({ print: imageFingerprint(packImage(prop.rig)), stored: true });
      prop.answers.length = 0;
      const frames = [...prop.send.image(other)];
      for (const frame of frames) {
        prop.tell(frame);
        prop.run(1);
      }
      // The last answer, to the commit, waits for the board.
      expect(prop.answers.length).toBe(frames.length - 1);
      expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
      expect(prop.answers.map(({ type, result }) => [type, result])).toEqual([
        [TYPE.imageCommit, stores ? RESULT.done : RESULT.notStored],
        [TYPE.rouse, RESULT.done],
      ]);
      expect(prop.answers[0]!.sequence).toBe((prop.send.sequence - 1) & 0xff);
      expect(who()).toEqual({ print: imageFingerprint(other), stored: stores });
    }
  });

  it('that is being stored is not received over, and nothing rouses meanwhile', () => {
    const prop = new Prop(rigOf());
    const frames = [...prop.send.image(packImage(rigOf({ hz: 400 })))];
    for (const frame of frames.slice(0, -1)) {
      prop.tell(frame);
      prop.run(1);
    }
    prop.answers.length = 0;
    // All three in one tick.
    prop.tell(frames.at(-1)!);
    prop.tell([...prop.send.image(packImage(rigOf()))][0]!);
    prop.tell(prop.send.command(TYPE.rouse));
    prop.run(1);
    expect(prop.answers.map(({ result }) => result)).toEqual([RESULT.notNow, RESULT.notNow]);
    prop.run(1);
    expect(prop.answers.at(-1)).toMatchObject({ type: TYPE.imageCommit, result: RESULT.done });
  });

  it('is refused for any changed byte, and the one in force stays', () => {
    const prop = new Prop(rigOf());
    const image = packImage(rigOf({ hz: 400 }));
    for (let at = 0; at < image.length; at += 7) {
      const bad = image.slice();
      bad[at]! ^= 0x40;
      expect(send(prop, bad)).not.toBe(RESULT.done);
    }
    prop.tell(prop.send.command(TYPE.who));
    prop.run(1);
    expect(prop.iAm?.tick_hz).toBe(200);
    prop.rouse();
  });

  it('is refused when it would hold for longer than the clock of a frame lasts', () => {
    const prop = new Prop(rigOf());
    expect(send(prop, packImage(rigOf({ hold_s: 1800 })))).toBe(RESULT.done);
    expect(send(prop, packImage(rigOf({ hold_s: 1801 })))).toBe(RESULT.badImage + 5);
  });

  it('is refused when home is out of reach, whatever its checksum', () => {
    const rig = rigOf();
    const platform = { ...rig.platform!, home_z_mm: 150 };
    const prop = new Prop(rigOf());
    expect(send(prop, packImage({ ...rig, platform }))).toBe(RESULT.badImage + 6);
    prop.rouse();
  });
});
