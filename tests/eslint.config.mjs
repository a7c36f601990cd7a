import tseslint from 'typescript-eslint';

const oneWay = (patterns, message) => ({
  'no-restricted-imports': ['error', { patterns: [{ group: patterns, message }] }],
});

export default tseslint.config(
  { ignores: ['node_modules/**', 'tests/output/**', 'firmware-proto/build/**'] },
  ...tseslint.configs.recommended,
  {
    rules: {
      eqeqeq: 'error',
      'no-console': 'error',
      'prefer-const': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-explicit-any': 'error',
    },
  },
  { files: ['tests/**', 'host/start.mjs', 'host/lodepole.mjs'], rules: { 'no-console': 'off' } },
  {
    files: ['calibration/**'],
    rules: oneWay(
      ['**/host/**', '**/firmware-proto/**', 'node:*'],
      'calibration is pure mathematics and imports nothing of ours',
    ),
  },
  {
    files: ['firmware-proto/**'],
    rules: oneWay(['**/host/**'], 'imports run one way: host reaches the board, never the other way round'),
  },
);
