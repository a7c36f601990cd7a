import helmet from '@fastify/helmet';
import rateLimit from '@fastify/rate-limit';
import fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from 'fastify';
import { nightText } from '../night/nightReport.ts';
import { nightHtml } from '../night/nightSheet.ts';
import { positionText } from '../site/coordinates.ts';
import { openPaths, type Asset } from './assets.ts';
import { greeting } from './greeting.ts';
import type { Guard } from './guard.ts';
import { boltRequest, pairRequest, stepRequest, type TraceAnswer } from './messages.ts';
import type { Pairing } from './pairing.ts';
import { answerError, refuse } from './refuse.ts';
import type { Night } from './sheet/nightAtPage.ts';
import type { Sheet } from './sheet/sheet.ts';
import type { Trace } from './trace.ts';
import type { Viewers } from './viewers.ts';

const bodyLimitBytes = 4096;
const requestsPerMinute = 1500;
const pairingTriesPerMinute = 10;

export interface Rooms {
  night: Night;
  sheet: Sheet;
  trace: Trace;
  viewers: Viewers;
  assets: ReadonlyMap<string, Asset>;
  /** Known once the port is. */
  guard(): Guard;
  pairing: Pairing;
  log(text: string): void;
  /** A person has taken the virtual mount in hand. */
  onHands(): void;
}

const policy = {
  useDefaults: false,
  directives: {
    defaultSrc: ["'none'"],
    scriptSrc: ["'self'"],
    styleSrc: ["'self'"],
    connectSrc: ["'self'"],
    imgSrc: ["'self'"],
    workerSrc: ["'self'"],
    // the silent film that keeps a screen awake on plain http
    mediaSrc: ['data:'],
    baseUri: ["'none'"],
    formAction: ["'none'"],
    frameAncestors: ["'none'"],
  },
};

/** The one HTTP interface, described in INTERFACE.md. */
export async function buildServer(rooms: Rooms): Promise<FastifyInstance> {
  const server = fastify({
    bodyLimit: bodyLimitBytes,
    exposeHeadRoutes: false,
    forceCloseConnections: true,
    requestTimeout: 10_000,
  });
  server.removeContentTypeParser('text/plain');
  server.setErrorHandler((error, _request, reply) => answerError(error, reply, rooms.log));
  server.setNotFoundHandler((_request, reply) =>
    refuse(reply, 404, 'There is nothing under this address.', 'Open / for the needles.'),
  );
  await server.register(helmet, {
    contentSecurityPolicy: policy,
    strictTransportSecurity: false,
    xFrameOptions: { action: 'deny' },
    referrerPolicy: { policy: 'no-referrer' },
  });
  await server.register(rateLimit, { max: requestsPerMinute, timeWindow: 60_000 });
  server.addHook('onRequest', async (request, reply) => checkDoor(rooms, request, reply));
  addFiles(server, rooms);
  addReading(server, rooms);
  addActing(server, rooms);
  return server;
}

const pathOf = (request: FastifyRequest): string => request.url.split('?', 1)[0];

function checkDoor(rooms: Rooms, request: FastifyRequest, reply: FastifyReply): FastifyReply | undefined {
  const reason = rooms.guard().reasonToRefuse(request);
  if (reason !== undefined) return refuse(reply, 403, reason, 'Open the address that the terminal shows.');
  const path = pathOf(request);
  const mayEnter =
    openPaths.has(path) || rooms.guard().isLocal(request) || rooms.pairing.isPaired(request.headers.cookie);
  if (mayEnter) return undefined;
  if (path === '/') return reply.redirect('/pair');
  return refuse(reply, 401, 'This device is not paired.', 'Open /pair and enter the code that the terminal shows.');
}

function addFiles(server: FastifyInstance, { assets }: Rooms): void {
  for (const [path, { type, body, etag }] of assets) {
    server.get(path, (request, reply) => {
      reply.header('etag', etag).header('cache-control', 'no-cache');
      if (request.headers['if-none-match'] === etag) return reply.code(304).send();
      return reply.type(type).send(body);
    });
  }
}

function addReading(server: FastifyInstance, rooms: Rooms): void {
  const account = () => ({
    ...(rooms.night.session.site && { place: positionText(rooms.night.session.site) }),
    plan: rooms.night.carried.log.plan?.words,
    entries: rooms.night.carried.log.entries,
    answer: rooms.night.carried.answer(),
    latitudeRad: rooms.night.session.site?.latitudeRad,
  });
  server.get('/night.txt', (_request, reply) =>
    reply
      .type('text/plain; charset=utf-8')
      .header('content-disposition', 'attachment; filename="night.txt"')
      .send(`${nightText(account()).join('\n')}\n`),
  );
  server.get('/night.html', async (_request, reply) => {
    const { carried } = rooms.night;
    // what cannot be written must not keep the sheet from the printer
    if (carried.answer()) await carried.log.noteStep('sheet', 'The night sheet was printed.').catch(() => {});
    return reply
      .type('text/html; charset=utf-8')
      .header('content-disposition', 'attachment; filename="night.html"')
      .send(nightHtml(account()));
  });
  server.get('/api/now', () => ({ schema: 1, messages: greeting(rooms.night, rooms.sheet) }));
  server.get('/api/trace', (): TraceAnswer => ({ schema: 1, points: rooms.trace.points }));
  server.get('/api/live', (_request, reply) => {
    if (rooms.viewers.isFull) return refuse(reply, 503, 'Too many viewers.', 'Close the page on another device.');
    reply.hijack();
    reply.raw.writeHead(200, {
      ...(reply.getHeaders() as Record<string, string>),
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-store',
    });
    rooms.viewers.add(reply.raw, greeting(rooms.night, rooms.sheet));
    return reply;
  });
}

function addActing(server: FastifyInstance, { night, sheet, pairing, onHands }: Rooms): void {
  server.post('/api/bolt', (request, reply) => {
    const asked = boltRequest.safeParse(request.body);
    if (!asked.success)
      return refuse(reply, 400, 'The bolt or the number of turns is not valid.', 'See INTERFACE.md, /api/bolt.');
    if (!night.session.virtual?.turnBolt)
      return refuse(reply, 409, 'Only a virtual mount has virtual hands.', 'Turn the bolts of the mount yourself.');
    onHands();
    night.carried.nudgeBegins(true);
    night.session.virtual?.turnBolt(asked.data.bolt, asked.data.turns);
    return { schema: 1 };
  });
  server.post<{ Params: { name: string } }>('/api/steps/:name', async (request, reply) => {
    const asked = stepRequest.safeParse(request.body);
    if (!asked.success) return refuse(reply, 400, 'The request is not valid.', 'See INTERFACE.md, /api/steps.');
    onHands();
    await sheet.act(request.params.name, asked.data);
    return { schema: 1 };
  });
  server.post(
    '/api/pair',
    { config: { rateLimit: { max: pairingTriesPerMinute, timeWindow: 60_000 } } },
    (request, reply) => {
      const asked = pairRequest.safeParse(request.body);
      const cookie = asked.success ? pairing.pair(asked.data.code) : undefined;
      if (cookie === undefined)
        return refuse(reply, 401, 'That is not the code.', 'Enter the eight characters that the terminal shows now.');
      return reply.header('set-cookie', cookie).send({ schema: 1 });
    },
  );
}
