/** A file that the page has made, for the person to keep. */
import { said } from '../state.ts';

export function offer(made: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(made);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  said.value = `${name} is made`;
}
