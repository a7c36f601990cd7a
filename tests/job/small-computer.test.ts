import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { Command } from 'commander';
import { describe, expect, test } from 'vitest';
import { register } from '../../host/commands/watch.ts';
import { have } from '../unit/tools.ts';

const path = new URL('../../firmware-proto/lodepole.service', import.meta.url).pathname;
const unit = readFileSync(path, 'utf8');

/** Section, key and value of each line; systemd.syntax(7). */
const entries = (): Map<string, string> => {
  const found = new Map<string, string>();
  let section = '';
  for (const line of unit.split('\n').filter((text) => text !== '')) {
    const head = /^\[(\w+)\]$/.exec(line);
    const entry = /^(\w+)=(\S.*)$/.exec(line);
    expect(head ?? entry, line).not.toBeNull();
    if (head) section = head[1];
    else if (entry) found.set(`${section}.${entry[1]}`, entry[2]);
  }
  return found;
};

/** What `watch` is asked for by these words; throws where the program would refuse them. */
async function watchOptions(words: readonly string[]): Promise<Record<string, unknown>> {
  const program = new Command().exitOverride().configureOutput({ writeErr: () => undefined });
  register(program);
  let options: Record<string, unknown> = {};
  program.commands[0].action((given: Record<string, unknown>) => void (options = given));
  await program.parseAsync(words, { from: 'user' });
  return options;
}

// Keys and values: systemd.unit(5), systemd.service(5).
describe('the service unit for a small computer at the mount', () => {
  test('starts at power-up, again after a failure, and not as root', () => {
    const found = entries();
    expect([...found.keys()]).toEqual([
      'Unit.Description',
      'Unit.After',
      'Service.User',
      'Service.ExecStart',
      'Service.Restart',
      'Service.RestartSec',
      'Install.WantedBy',
    ]);
    expect(found.get('Service.User')).not.toBe('root');
    expect(found.get('Service.Restart')).toBe('on-failure');
    expect(found.get('Install.WantedBy')).toBe('multi-user.target');
  });

  test('runs a command line that the program takes: any board, never the virtual one, and the page shared', async () => {
    const [env, name, ...words] = (entries().get('Service.ExecStart') ?? '').split(' ');
    expect([env, name]).toEqual(['/usr/bin/env', 'lodepole']);
    expect(await watchOptions(words)).toMatchObject({ port: 'any', share: true, page: true });
    expect((await watchOptions(words)).virtual).toBeUndefined();
    await expect(watchOptions([...words, '--shared'])).rejects.toThrow(/unknown option/);
  });

  test('is the one that the guide shows', () => {
    const guide = readFileSync(new URL('../../firmware-proto/guide/small-computer.md', import.meta.url), 'utf8');
    expect(guide).toContain(`\`\`\`\n${unit}\`\`\`\n`);
  });

  test.skipIf(!have('systemd-analyze', 'the service unit is not given to systemd itself'))(
    'is sound to systemd itself',
    () => {
      const { status, stderr } = spawnSync('systemd-analyze', ['verify', path], { encoding: 'utf8' });
      // it reads the units of this machine as well
      expect(stderr.split('\n').filter((line) => line.includes('lodepole'))).toEqual([]);
      expect(status).toBe(0);
    },
  );
});
