import { exitCode, Failure } from '../failure.ts';
import { unmetWords } from '../link/metPorts.ts';
import { unmetPorts } from '../link/ports.ts';
import { openSession, type SessionOptions } from './openSession.ts';
import type { LiveSession } from './session.ts';

/** Opens a live session, never the virtual board unless it was asked for: practice must not pass for a measurement. Throws Failure. */
export async function openAsked(options: SessionOptions): Promise<LiveSession> {
  const session = await openSession(options);
  if (session.virtual === undefined || options.virtual !== undefined) return session;
  await session.close();
  throw new Failure(
    exitCode.noBoard,
    'No board answered.',
    unmetWords(await unmetPorts()) ||
      'Plug the board in, name its port with --port, or practise with --virtual orchard or --virtual woolshed.',
  );
}
