/** Torques in the units of data sheets, and in words wherever a servo is chosen: N·m and kgf·cm side by side. */

/** 1 kgf·cm in N·m: g = 9.80665 m/s² (CGPM 1901; the kilogram-force by it: NIST SP 811, appendix B). */
export const KGF_CM = 0.0980665;
/** 1 ozf·in in N·m: one ounce 0.028349523125 kg, one inch 25.4 mm (NIST SP 811, appendix B). */
export const OZF_IN = 0.028349523125 * 9.80665 * 0.0254;

/** `0.25 N·m`: the size of a torque. Small ones keep their digits: those of face servos are thousandths. */
export const newtonMetres = (torque_nm: number): string =>
  `${Math.abs(torque_nm).toFixed(Math.abs(torque_nm) < 0.095 ? 3 : 2)} N·m`;

/** `0.25 N·m (2.5 kgf·cm)`: the same as data sheets of hobby servos give it besides. */
export function torqueWords(torque_nm: number): string {
  const torque_kgfcm = Math.abs(torque_nm) / KGF_CM;
  return `${newtonMetres(torque_nm)} (${torque_kgfcm.toFixed(torque_kgfcm < 0.95 ? 2 : 1)} kgf·cm)`;
}
