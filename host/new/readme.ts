/** What a new folder says of itself: what to do next, in the order of doing it. */

/** The text. `name`: of the rig; `assumed`: the names of questions that nobody answered; `responds`: responses.ts is there. */
export function readme(name: string, assumed: readonly string[], responds = false): string {
  const responses = responds
    ? '`responses.ts` lets the prop react to its sensors: say in it what changes, then replay and `posewright build` take it along.'
    : '`posewright new FOLDER --responses` writes responses.ts too, with which a prop reacts to its sensors.';
  const guesses =
    assumed.length === 0
      ? 'Every question was answered.'
      : `Nobody answered these, so the rig has typical values: ${assumed.join(', ')}.`;
  return `# ${name}

\`rig.yaml\` says what the prop is made of, \`each-axis.csv\` moves each axis alone, slowly. Change the rig with any editor: one that
speaks YAML completes keys and marks mistakes by \`rig.schema.json\`.

${guesses}
Look for \`from: assumed\` in \`rig.yaml\`; weigh and measure those before you trust a figure that depends on them.

${responses}

## On paper

    posewright check rig.yaml                  is the file right, and what does it say
    posewright reach rig.yaml                  how far it travels and tilts, and what stops it
    posewright load rig.yaml                   what the weight asks of the servos
    posewright replay rig.yaml each-axis.csv   the first motion, with nothing connected
    posewright why rig.yaml each-axis.csv      what is wrong, why, and how to mend it
    posewright servo rig.yaml --stream each-axis.csv   which servo would do, and which remedy
    posewright design --want want.yaml -o DIR  rigs that do what a want file asks (\`design --help\` shows one)
    posewright compare rig.yaml other.yaml     what differs between two rigs

Where \`load\` says a servo has too little, change the rod, the horn, the weight or the servo here and ask again: it costs a minute
now, and a week when the parts are cut.

## On the bench

1. Take the head off, or hold it. Wire the stop button and try it first.
2. Flash the board: \`posewright flash rig.yaml\`. Servos go to their middle when they get power: hands away.
3. One leg at a time: is its horn level in the middle (\`centre_us\`)? Does it turn the right way (\`sense: -1\` if not)?
4. Play \`each-axis.csv\` and watch: x goes the way it looks, y to its left, z up. Pitch turns the nose down, yaw turns it left.
   An axis that goes the other way means two legs are swapped or a sense is wrong.
5. Put the head on and play it again. Then \`posewright tune rig.yaml\` finds limits that the servos keep.
`;
}
