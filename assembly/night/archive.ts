/** What shows the flash holds. */
/* eslint-disable @typescript-eslint/no-unused-vars */

/** Another number whenever a night has come into force. */
export function nightsOpened(): u32 {
  return 0;
}
/** Shows of the night in force, removed ones too; 0: no night, or it is not read yet. */
export function showCount(): u32 {
  return 0;
}
/** Brings show k's entry into ENTRY; false while it is not there: call again on the next tick. */
export function entryOf(_k: u32): bool {
  return false;
}
export function isRemoved(_k: u32): bool {
  return false;
}
/** Its bytes are not what they were. Known once it is checked. */
export function isDamaged(_k: u32): bool {
  return false;
}
/** Checked while the prop lies still. */
export function isChecked(_k: u32): bool {
  return false;
}
