import type { FastifyRequest } from 'fastify';

const loopbackNames = ['127.0.0.1', 'localhost', '[::1]'];
const loopbackAddresses = new Set(['127.0.0.1', '::1', '::ffff:127.0.0.1']);

/** Names under which this host answers; anything else in a Host header is a rebound or mistyped name. */
export class Guard {
  private readonly hosts: ReadonlySet<string>;
  private readonly loopbackHosts: ReadonlySet<string>;

  constructor(port: number, sharedAddresses: readonly string[]) {
    const withPort = (names: readonly string[]) => new Set(names.map((name) => `${name}:${port}`));
    this.loopbackHosts = withPort(loopbackNames);
    this.hosts = withPort([...loopbackNames, ...sharedAddresses]);
  }

  /** Why a request is refused, or undefined. */
  reasonToRefuse(request: FastifyRequest): string | undefined {
    const host = request.headers.host ?? '';
    if (!this.hosts.has(host)) return 'This host does not answer under that name.';
    const { origin } = request.headers;
    if (origin !== undefined && origin !== `http://${host}`) return 'Requests from other web pages are refused.';
    const site = request.headers['sec-fetch-site'];
    const fromElsewhere = site === 'cross-site' || site === 'same-site';
    if (fromElsewhere && request.headers['sec-fetch-mode'] !== 'navigate')
      return 'Requests from other web pages are refused.';
    return undefined;
  }

  /** The person at this machine needs no pairing. */
  isLocal(request: FastifyRequest): boolean {
    return (
      loopbackAddresses.has(request.socket.remoteAddress ?? '') && this.loopbackHosts.has(request.headers.host ?? '')
    );
  }
}
