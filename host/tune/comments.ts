/** Comments beside figures that tuning writes over: see changedComments. */
import { changedComment, changedComments } from '../rig/changed-comments.ts';

const TUNED = 'tuned by posewright';

/** `tuned by posewright; was 1500: a guess`; a comment that already says so keeps the oldest figure. */
export const tunedComment = (was: string, comment: string): string => changedComment(TUNED, was, comment);

/** What goes into the comments of the lines that these changes write over. */
export const commentEdits = (
  text: string,
  changes: Parameters<typeof changedComments>[1],
): ReturnType<typeof changedComments> => changedComments(text, changes, TUNED);
