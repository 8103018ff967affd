// Specs of the controller's modules; they run in a module of their own, so what they need of assembly/ they import.
export default {
  entries: ['tests/assembly/*.spec.ts'],
  include: [],
  disclude: [/node_modules/],
  async instantiate(memory, createImports, instantiate, binary) {
    return instantiate(binary, createImports({ env: { memory } }));
  },
  outputBinary: false,
};
