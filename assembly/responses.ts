/**
 * The rig's responses: functions over what it senses that change what is asked. A rig with none has these. The build puts a
 * rig's own responses.ts here, checked, with the fuel that it burns written in (host/firmware/responses).
 */

/** Whether there are any: without, nothing of them is in the controller. */
export const RESPONDS: bool = false;

/** Their variables begin anew. */
export function startResponses(): void {}

/** Called on every tick on which the prop listens: live and holding. */
export function respond(): void {}
