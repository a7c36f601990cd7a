import tseslint from 'typescript-eslint';

const oneWay = (patterns, message) => ({
  'no-restricted-imports': ['error', { patterns: [{ group: patterns, message }] }],
});

/** The floors of host, the highest first: a room imports only rooms on the floors below its own. */
const floors = [
  ['commands'],
  ['web'],
  ['practice'],
  ['night', 'terminal'],
  ['steps'],
  ['live', 'capture'],
  ['link'],
  ['store'],
  ['sky'],
  ['site', 'words'],
];

const downwardOnly = floors.flatMap((rooms, floor) =>
  rooms.map((room) => {
    const closed = floors
      .slice(0, floor + 1)
      .flat()
      .filter((other) => other !== room);
    const below = floors.slice(floor + 1).flat();
    const may = below.length === 0 ? 'no other room of host' : `only what stands below it: ${below.join(', ')}`;
    return {
      files: [`host/${room}/**`],
      rules: {
        'no-restricted-imports': [
          'error',
          {
            patterns: closed.map((other) => ({
              regex: `^(\\.\\./)+${other}/`,
              message: `host/${room} may import ${may}. Move what both rooms need to a room below, or the caller up to host/${other}.`,
            })),
          },
        ],
      },
    };
  }),
);

export default tseslint.config(
  { ignores: ['node_modules/**', 'tests/output/**', 'firmware-proto/build/**', 'built/**'] },
  ...tseslint.configs.recommended,
  {
    rules: {
      eqeqeq: 'error',
      'no-console': 'error',
      'prefer-const': 'error',
      'no-restricted-syntax': [
        'error',
        { selector: 'PrivateIdentifier', message: 'Members of one class alone are marked `private`, nowhere with #.' },
      ],
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-explicit-any': 'error',
    },
  },
  { files: ['tests/**', 'host/*.mjs'], rules: { 'no-console': 'off' } },
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
  ...downwardOnly,
);
