/**
 * Comments beside figures that a program writes over: they spoke of the old figure, so that each now begins with what stood there and
 * who changed it. The words of whoever wrote it stay behind that.
 */

/** Where a figure was written over, from and to in the old text. */
interface Change {
  readonly from: number;
  readonly to: number;
}

interface Insertion extends Change {
  readonly text: string;
}

/** `tuned by posewright; was 1500: a guess` for `by` = `tuned by posewright`; a comment that already says so keeps the oldest figure. */
export const changedComment = (by: string, was: string, comment: string): string =>
  comment.trimStart().startsWith(by) ? comment : `${by}; was ${was}: ${comment.trimStart()}`;

/** Where the comment of a line begins, at its #; -1: it has none. A # within quotes or a word begins none. */
function commentAt(line: string): number {
  let quote = '';
  for (let i = 0; i < line.length; i++) {
    const letter = line[i]!;
    if (quote !== '') quote = letter === quote ? '' : quote;
    else if (letter === '"' || letter === "'") quote = letter;
    else if (letter === '#' && /\s/.test(line[i - 1] ?? ' ')) return i;
  }
  return -1;
}

/** What goes into the comments of the lines that these changes write over. */
export function changedComments(text: string, changes: readonly Change[], by: string): Insertion[] {
  const lines = new Set(
    changes.filter(({ from, to }) => to > from).map(({ from }) => text.lastIndexOf('\n', from) + 1),
  );
  return [...lines].flatMap((start) => {
    const end = text.indexOf('\n', start);
    const line = text.slice(start, end < 0 ? text.length : end).replace(/\r$/, '');
    const at = commentAt(line);
    if (at < 0) return [];
    const was = line
      .slice(0, at)
      .trim()
      .replace(/,$/, '')
      .replace(/^[\w.]+:\s*/, '');
    const old = line.slice(at + 1);
    const said = changedComment(by, was, old);
    const from = start + at + 1;
    return said === old ? [] : [{ from, to: from + old.length, text: ` ${said}` }];
  });
}
