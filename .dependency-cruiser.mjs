// Who may import whom: the layers of DEVELOPERS.md. A lower layer never imports a higher one, and types count.
const OURS = '^(assembly|boards|host|tests)/';

/** Files under `from` may import only what lies under one of `allowed`, and packages. */
const layer = (name, from, ...allowed) => ({
  name,
  severity: 'error',
  from: { path: `^${from}/` },
  to: { path: OURS, pathNot: `^(${allowed.join('|')})/` },
});
const host = (folder, ...allowed) =>
  layer(`host-${folder}`, `host/${folder}`, ...[folder, ...allowed].map((name) => `host/${name}`));

/** A room of host/physics may import only itself and the rooms named; what lies outside physics is for the layer's own rule. */
const physics = (room, ...allowed) => ({
  name: `physics-${room}`,
  severity: 'error',
  from: { path: `^host/physics/${room}/` },
  to: { path: '^host/physics/', pathNot: `^host/physics/(${[room, ...allowed].join('|')})/` },
});

const MIDDLE = ['replay', 'physics', 'controller', 'stream', 'rig'];

export default {
  forbidden: [
    layer('assembly', 'assembly', 'assembly'),
    layer('boards', 'boards', 'boards'),
    {
      ...layer('host', 'host', 'host'),
      // The benchmark prints figures of what the tests hold: the same axes, the same swing.
      from: { path: '^host/', pathNot: '^host/build/bench/' },
    },
    host('rig'),
    host('stream', 'rig'),
    host('physics', 'stream', 'rig'),
    physics('kinematics'),
    physics('servo'),
    physics('dynamics', 'kinematics', 'servo'),
    physics('vibration', 'kinematics', 'servo', 'dynamics'),
    physics('plant', 'kinematics', 'servo', 'dynamics', 'vibration'),
    host('controller', 'rig'),
    host('reach', 'physics', 'rig'),
    host('load', 'physics', 'stream', 'rig'),
    host('new', 'physics', 'stream', 'rig'),
    host('compare', 'reach', 'load', 'physics', 'stream', 'rig'),
    host('wiring', 'load', 'rig'),
    host('replay', 'physics', 'controller', 'stream', 'rig'),
    host('firmware', 'controller', 'rig'),
    host('targets', 'firmware', ...MIDDLE),
    host('retime', 'replay', 'physics', 'stream', 'rig'),
    host('tune', 'load', 'replay', 'physics', 'stream', 'rig'),
    host('design', 'reach', 'load', ...MIDDLE),
    {
      name: 'search-apart',
      comment: 'The search knows neither rigs nor threads.',
      severity: 'error',
      from: { path: '^host/design/(search|front)/' },
      to: { path: OURS, pathNot: '^host/design/(search|front)/' },
    },
    {
      name: 'front-under-search',
      severity: 'error',
      from: { path: '^host/design/front/' },
      to: { path: '^host/design/search/' },
    },
    host('why', 'tune', 'load', 'replay', 'physics', 'stream', 'rig'),
    host('shows', 'wiring', 'load', ...MIDDLE),
    host('bringup', 'replay', 'controller', 'physics', 'stream', 'rig'),
    host('report', 'design', 'shows', 'why', 'wiring', 'compare', 'reach', 'load', 'tune', 'retime', ...MIDDLE),
    host('stage', 'report', 'shows', 'bringup', 'targets', 'why', 'reach', 'load', 'tune', 'retime', ...MIDDLE),
    {
      name: 'page-apart',
      comment: 'The page knows its server by what they send each other only.',
      severity: 'error',
      from: { path: '^host/stage/(page|take)/' },
      to: {
        path: '^host/stage/',
        pathNot: '^host/stage/(page/|take/|about[.]ts|transfer[.]ts|meshes[.]ts|follower[.]ts|line-words[.]ts)',
      },
    },
    {
      name: 'drawings-under-pages',
      comment: 'A drawing knows nothing of the page it stands on.',
      severity: 'error',
      from: { path: '^host/report/draw/' },
      to: { path: '^host/report/', pathNot: '^host/report/draw/' },
    },
    {
      name: 'commands-apart',
      comment: 'A command imports no other command; what they share stands beside their folders.',
      severity: 'error',
      from: { path: '^host/cli/([^/]+)/' },
      to: { path: '^host/cli/[^/]+/', pathNot: '^host/cli/$1/' },
    },
    {
      name: 'cli-is-the-top',
      comment: 'The command line is imported by nothing but its tests, and the benchmark that times its threads.',
      severity: 'error',
      from: { pathNot: '^(host/cli|host/build/bench|tests)/' },
      to: { path: '^host/cli/' },
    },
    {
      name: 'assembly-without-packages',
      severity: 'error',
      from: { path: '^assembly/' },
      to: { dependencyTypesNot: ['local'] },
    },
    {
      name: 'no-node-below-the-edges',
      comment: 'What works things out runs in a browser too: files, lines and processes are for those who use it.',
      severity: 'error',
      from: {
        path: '^host/(?!cli/|stage/|targets/|firmware/|build/|demo/)|^host/targets/(sim|line)[.]ts$|^host/stage/(page|take)/',
      },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'no-circle',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'package-not-listed',
      comment: 'What runs at the user stands under "dependencies".',
      severity: 'error',
      from: { path: '^host/', pathNot: '^host/build/' },
      to: { dependencyTypes: ['npm-no-pkg', 'npm-unknown', 'npm-dev'] },
    },
    { name: 'not-found', severity: 'error', from: {}, to: { couldNotResolve: true } },
  ],
  options: {
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    doNotFollow: { path: 'node_modules' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'types', 'node', 'default'] },
    exclude: { path: '^(build|dist|host/demo/responses)/' },
  },
};
