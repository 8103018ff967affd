/** From joint positions to pulse widths at the servo pins. */
import { ACTIVE, JOINTS_AT, JointImage, JointState, PULSES, STATES } from './layout';
import { clamp, nearestBits } from './kernels';

/** Writes the widths of the joints in the mask, 0 for the others of the rig. Whole microseconds, never outside the servo's range. */
export function writePulses(count: i32, mask: u32): void {
  let servo = changetype<JointImage>(ACTIVE + JOINTS_AT);
  let j = changetype<JointState>(STATES);
  for (let i = 0; i < count; i++, mask >>= 1) {
    let width: u16 = 0;
    if (mask & 1) {
      const wanted = servo.centre_us + servo.us_per_unit * (j.out - servo.centre);
      width = u16(nearestBits(clamp(wanted, servo.min_us, servo.max_us)));
    }
    store<u16>(PULSES + (usize(i) << 1), width);
    servo = changetype<JointImage>(changetype<usize>(servo) + offsetof<JointImage>());
    j = changetype<JointState>(changetype<usize>(j) + offsetof<JointState>());
  }
}
