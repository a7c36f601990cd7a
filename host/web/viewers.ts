import type { ServerResponse } from 'node:http';
import type { PushMessage } from './messages.ts';

const maximumViewers = 200;

interface Viewer {
  response: ServerResponse;
  /** Newest text of each kind that waits for a slow viewer; older ones of the kind are dropped. */
  waiting: Map<PushMessage['kind'], string>;
}

/** Server-sent events to all who look on. Each message is put into text once, however many look. */
export class Viewers {
  private readonly viewers = new Set<Viewer>();

  get count(): number {
    return this.viewers.size;
  }

  get isFull(): boolean {
    return this.viewers.size >= maximumViewers;
  }

  /** Takes over a response whose head is written, and greets it. */
  add(response: ServerResponse, greeting: readonly PushMessage[]): void {
    const viewer: Viewer = { response, waiting: new Map() };
    this.viewers.add(viewer);
    response.on('close', () => this.viewers.delete(viewer));
    response.on('error', () => this.viewers.delete(viewer));
    response.on('drain', () => {
      const texts = [...viewer.waiting.values()];
      viewer.waiting.clear();
      for (const text of texts) response.write(text);
    });
    response.write('retry: 500\n\n');
    for (const message of greeting) response.write(asEvent(message));
  }

  push(message: PushMessage): void {
    if (this.viewers.size === 0) return;
    const text = asEvent(message);
    for (const viewer of this.viewers) {
      if (viewer.response.writableNeedDrain) viewer.waiting.set(message.kind, text);
      else viewer.response.write(text);
    }
  }

  close(): void {
    for (const viewer of this.viewers) viewer.response.destroy();
    this.viewers.clear();
  }
}

const asEvent = (message: PushMessage): string => `data: ${JSON.stringify(message)}\n\n`;
