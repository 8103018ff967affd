/**
 * What the controller's whole memory keeps of what is over, in bytes from its beginning. tests/host/stage/verdict/judge.test.ts finds
 * the places; a controller with a rig's own responses has them there too, since what those keep comes last.
 */

/** Which leg stopped a pose last, and how soon (STOPPED in assembly/kinematics.ts): until the next pose out of reach nothing comes of it. */
export const STOP_NOTE = { at: 17_968, bytes: 8 } as const;
/** The running record (RING in assembly/night/record.ts): nothing ever comes of it. */
export const RECORD = { at: 30_224, bytes: 76_800 } as const;
