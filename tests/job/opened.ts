import { exitCode, Failure } from '../../host/failure.ts';
import { openSession, type SessionOptions } from '../../host/live/openSession.ts';

/** Opens a session; an overloaded machine may need more than one grace of three seconds until the board answers. */
export async function opened(options: SessionOptions, tries = 6): ReturnType<typeof openSession> {
  try {
    return await openSession(options);
  } catch (error) {
    if (tries === 1 || !(error instanceof Failure) || error.code !== exitCode.noBoard) throw error;
    return opened(options, tries - 1);
  }
}
