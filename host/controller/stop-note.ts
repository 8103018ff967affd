/**
 * Where in its whole memory the controller notes which leg stopped a pose last, and how soon (STOPPED in assembly/kinematics.ts), in
 * bytes: until the next pose out of reach nothing comes of it. tests/host/stage/verdict/judge.test.ts finds its place.
 */
export const STOP_NOTE = { at: 17_328, bytes: 8 } as const;
