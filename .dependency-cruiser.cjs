// Who may import whom: the layers of DEVELOPERS.md. A lower layer never imports a higher one.
const layer = (name, from, allowed) => ({
  name,
  severity: 'error',
  from: { path: from },
  to: { path: '^(assembly|boards|host|tests|demo)/', pathNot: allowed },
});

module.exports = {
  forbidden: [
    { name: 'no-circle', severity: 'error', from: {}, to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } } },
    { name: 'not-listed', severity: 'error', from: { path: '^host/', pathNot: '^host/build/' }, to: { dependencyTypes: ['npm-no-pkg', 'npm-unknown', 'npm-dev'] } },
    layer('assembly-alone', '^assembly/', '^assembly/'),
    layer('rig-lowest', '^host/rig/', '^host/rig/'),
    layer('stream-on-rig', '^host/stream/', '^host/(stream|rig)/'),
    layer('physics-knows-no-controller', '^host/physics/', '^host/(physics|stream|rig)/'),
    layer('controller-on-rig', '^host/controller/', '^host/(controller|rig)/'),
    layer('replay-on-these', '^host/replay/', '^host/(replay|physics|controller|stream|rig)/'),
    layer('targets-below-cli', '^host/targets/', '^host/(targets|replay|physics|controller|stream|rig)/'),
    layer('report-below-cli', '^host/report/', '^host/(report|replay|physics|controller|stream|rig)/'),
    layer('host-without-tests', '^host/', '^host/'),
  ],
  options: { tsPreCompilationDeps: true, tsConfig: { fileName: 'tsconfig.json' }, doNotFollow: { path: 'node_modules' } },
};
