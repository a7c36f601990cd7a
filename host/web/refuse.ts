import type { FastifyReply } from 'fastify';
import { exitCode, Failure } from '../failure.ts';
import type { Refusal } from './messages.ts';

const escaped = (text: string): string => text.replace(/[<>&"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

/** For a browser's window, which would show JSON on white. Dark before anything else of it is fetched. */
const letter = (error: string, whatToDo: string): string => `<!doctype html>
<html lang="en" class="dark" bgcolor="#000000">
  <head>
    <meta charset="utf-8" />
    <meta name="color-scheme" content="dark" />
    <meta name="viewport" content="width=device-width, initial-scale=1" />
    <link rel="stylesheet" href="/page.css" />
    <script src="/look.js"></script>
    <link rel="icon" href="/icon.svg" />
    <title>${escaped(error)} - Lodepole</title>
  </head>
  <body bgcolor="#000000" text="#460000" link="#460000" vlink="#460000">
    <main class="letter">
      <h1>${escaped(error)}</h1>
      <p>${escaped(whatToDo)}</p>
      <p><a href="/">To the needles</a></p>
    </main>
  </body>
</html>
`;

export function refuse(reply: FastifyReply, status: number, error: string, whatToDo: string): FastifyReply {
  reply.code(status);
  const { method, headers } = reply.request;
  if (method === 'GET' && (headers.accept ?? '').includes('text/html'))
    return reply.type('text/html; charset=utf-8').send(letter(error, whatToDo));
  return reply.send({ schema: 1, error, whatToDo } satisfies Refusal);
}

const ownWords: Readonly<Record<number, readonly [string, string]>> = {
  400: ['The request is not valid.', 'Reload the page; INTERFACE.md says what each request holds.'],
  413: ['The request is too large.', 'Send at most 4 kB.'],
  415: ['The request is not JSON.', 'Send it as application/json.'],
  429: ['Too many requests.', 'Wait a minute and try again.'],
};

/** Turns an error into an answer that names the fault but no path, stack or version of this machine. */
export function answerError(error: unknown, reply: FastifyReply, log: (text: string) => void): FastifyReply {
  if (error instanceof Failure) {
    if (error.code === exitCode.inputOutput) {
      log(`${error.message}\n${error.whatToDo}`);
      return refuse(reply, 500, 'The host could not read or write a file.', 'The terminal says which and why.');
    }
    return refuse(reply, 409, error.message, error.whatToDo);
  }
  const status = (error as { statusCode?: number }).statusCode ?? 500;
  const words = ownWords[status];
  if (words) return refuse(reply, status, ...words);
  if (status < 500) return refuse(reply, status, ...ownWords[400]);
  log(`The page's host failed: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
  return refuse(reply, 500, 'The host could not answer this request.', 'Try again; the terminal shows why.');
}
