// Lint for the host and the tests. AssemblyScript is checked by its own compiler: its decorators and number types are no TypeScript.
import js from '@eslint/js';
import { defineConfig } from 'eslint/config';
import tseslint from 'typescript-eslint';

export default defineConfig(
  { ignores: ['build/', 'dist/', 'node_modules/', 'assembly/', 'tests/assembly/*.spec.ts', 'tests/as-pect.config.js', 'boards/'] },
  js.configs.recommended,
  tseslint.configs.strict,
  {
    languageOptions: {
      parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname },
      globals: { process: 'readonly', console: 'readonly', performance: 'readonly', URL: 'readonly' },
    },
  },
  {
    files: ['**/*.ts'],
    rules: {
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': 'error',
      '@typescript-eslint/await-thenable': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/prefer-nullish-coalescing': 'error',
      // Typed arrays are indexed in loops whose bounds are known: a check there would only hide the sum.
      '@typescript-eslint/no-non-null-assertion': 'off',
      // Flags of classes that a listener's call may change.
      '@typescript-eslint/no-unnecessary-condition': 'off',
      'no-restricted-syntax': ['error', { selector: 'ExportDefaultDeclaration', message: 'Exports have names.' }],
      'no-console': 'error',
    },
  },
  { files: ['*.config.ts'], rules: { 'no-restricted-syntax': 'off' } },
  { files: ['tests/**/*.ts', 'host/build/**', '**/*.mjs'], rules: { 'no-console': 'off' } },
  { files: ['**/*.mjs'], extends: [tseslint.configs.disableTypeChecked] },
);
