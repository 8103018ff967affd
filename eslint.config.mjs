// Lint: strict and with types over the host and the tests; over AssemblyScript what needs no types, as its compiler has those.
import js from '@eslint/js';
import { defineConfig } from 'eslint/config';
import tseslint from 'typescript-eslint';

const ASSEMBLYSCRIPT = ['assembly/**/*.ts', 'tests/assembly/*.spec.ts', 'tests/published/parts/*.ts'];
const NAMED = { selector: 'ExportDefaultDeclaration', message: 'Exports have names.' };
const PARAMETER = 'It comes in as a parameter, so that a run can be repeated.';

export default defineConfig(
  { ignores: ['build/', 'dist/', 'host/demo/responses/'] },
  {
    files: ['**/*.ts', '**/*.tsx'],
    ignores: ASSEMBLYSCRIPT,
    extends: [js.configs.recommended, tseslint.configs.strictTypeChecked],
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    rules: {
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/prefer-nullish-coalescing': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      '@typescript-eslint/restrict-plus-operands': ['error', { allowNumberAndString: true }],
      // `() => void something()` and `return report(...)` read well where nothing is made of the value.
      '@typescript-eslint/no-confusing-void-expression': 'off',
      // Typed arrays are indexed in loops whose bounds are known: a check there would only hide the sum.
      '@typescript-eslint/no-non-null-assertion': 'off',
      // Flags of classes that a listener's call may change.
      '@typescript-eslint/no-unnecessary-condition': 'off',
      // Our interfaces are kept by plain objects over closures: there is no `this` to lose.
      '@typescript-eslint/unbound-method': 'off',
      // An async function without await keeps an interface whose other sides do wait.
      '@typescript-eslint/require-await': 'off',
      // What comes from outside is searched for control characters on purpose.
      'no-control-regex': 'off',
      'no-console': 'error',
      'no-restricted-syntax': ['error', NAMED],
    },
  },
  {
    // Documents are read back as a user's program would, and asserted key by key.
    files: ['tests/**/*.ts'],
    rules: {
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
    },
  },
  {
    files: ['host/**/*.ts', 'host/**/*.tsx'],
    ignores: ['host/cli/bin.ts', 'host/build/**'],
    rules: {
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'random', message: PARAMETER },
        { object: 'Date', property: 'now', message: PARAMETER },
        { object: 'performance', property: 'now', message: PARAMETER },
      ],
    },
  },
  {
    files: ASSEMBLYSCRIPT,
    // Decorators on functions are no TypeScript; the parser reads them all the same when asked not to mind.
    languageOptions: { parser: tseslint.parser, parserOptions: { allowInvalidAST: true } },
    plugins: { '@typescript-eslint': tseslint.plugin },
    rules: { '@typescript-eslint/no-unused-vars': 'error', 'prefer-const': 'error' },
  },
  {
    files: ['assembly/**/*.ts'],
    rules: {
      'no-restricted-syntax': [
        'error',
        NAMED,
        { selector: 'NewExpression', message: 'There is no heap: state stands in memory.data blocks (layout.ts).' },
        {
          selector: 'ThrowStatement',
          message: 'The controller never traps: check at the door and answer with a code.',
        },
        { selector: 'TSTypeReference > Identifier[name=f64]', message: 'Single precision only.' },
      ],
    },
  },
  { files: ['*.config.ts'], rules: { 'no-restricted-syntax': 'off' } },
  { files: ['host/build/**/*.ts'], rules: { 'no-console': 'off' } },
  {
    files: ['**/*.mjs', '**/*.js'],
    extends: [js.configs.recommended],
    languageOptions: {
      globals: { process: 'readonly', console: 'readonly', performance: 'readonly', URL: 'readonly' },
    },
  },
);
