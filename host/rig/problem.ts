/** What is wrong with a file, in words for the person who made it. Rigs and streams answer in the same shape. */
export interface Problem {
  /** Key path such as `servos.neck.stall_torque_nm`, parts by their names; 'file' for the whole file. */
  readonly path: string;
  /** Counted from 1; 0: the whole file. */
  readonly line: number;
  /** What was found and what is allowed. */
  readonly message: string;
  readonly severity: 'error' | 'warning';
}

/** Keys and list indices from the root of a rig file. */
export type Path = readonly (string | number)[];

/** Where checks leave what they find. */
export interface Say {
  error(path: Path, message: string): void;
  warning(path: Path, message: string): void;
}
