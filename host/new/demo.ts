/** The demo's folder: what goes beside its rig and stream. */
import type { NewFile } from './new.ts';
import { SCHEMA_HOOK, SCHEMA_FILE, schemaText } from './rig-file.ts';

export const DEMO_RIG = 'night-owl.yaml';
export const DEMO_STREAM = 'dusk.csv';
export const DEMO_WANT = 'owl-neck.yaml';

const README = `# night-owl

The demo of posewright, to try things on: an invented owl's head on six servos, on a geared axis that nods it. \`${DEMO_RIG}\` says what
it is made of, \`${DEMO_STREAM}\` is a stream, \`${DEMO_WANT}\` says what its neck should do better. Change the rig with any editor: one that speaks YAML completes keys and marks mistakes by
\`${SCHEMA_FILE}\`.

    posewright check ${DEMO_RIG}                  is the file right, and what does it say
    posewright draw ${DEMO_RIG}                   what the numbers mean
    posewright reach ${DEMO_RIG}                  how far it travels and tilts, and what stops it
    posewright load ${DEMO_RIG}                   what the weight asks of the servos
    posewright replay ${DEMO_RIG} ${DEMO_STREAM}        the stream, with nothing connected
    posewright why ${DEMO_RIG} ${DEMO_STREAM}           what is wrong, why, and how to mend it
    posewright servo ${DEMO_RIG} --stream ${DEMO_STREAM}   which servo would do
    posewright design --want ${DEMO_WANT} -o neck   rigs that do what the want file asks
    posewright compare ${DEMO_RIG} OTHER.yaml      what differs between two rigs, such as one of these

Nothing here was measured on a real prop. For one of your own: \`posewright new FOLDER\`.
`;

/** The demo's own files with what an editor and a reader need. */
export const demoFolder = (files: readonly NewFile[]): readonly NewFile[] => [
  ...files.map(({ name, text }) => ({ name, text: name === DEMO_RIG ? `${SCHEMA_HOOK}\n${text}` : text })),
  { name: 'README.md', text: README },
  { name: SCHEMA_FILE, text: schemaText() },
];
