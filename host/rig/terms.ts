/** Words that every command and page shares, so that one thing has one name. */

/** What nobody has given, and what cannot be worked out without it: the word of rig files, documents, answers and pages. */
export const UNKNOWN = 'unknown';

/** What the columns plus and minus hold, under every table that has them. */
export const PLUS_MINUS_NOTE = 'Plus and minus: acceleration upward (toward larger values of the joint) and downward.';
