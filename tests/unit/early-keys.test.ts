// Keys pressed while the program still looks for a board: neither shown nor lost for Ctrl-C.
import { EventEmitter } from 'node:events';
import type { ReadStream } from 'node:tty';
import { describe, expect, it, vi } from 'vitest';
import { quietKeys } from '../../host/terminal/quietKeys.ts';

class Terminal extends EventEmitter {
  isRaw = false;
  isFlowing = false;
  setRawMode(isRaw: boolean): void {
    this.isRaw = isRaw;
  }
  resume(): void {
    this.isFlowing = true;
  }
  pause(): void {
    this.isFlowing = false;
  }
}

describe('keys before there is a screen', () => {
  it('are swallowed without an echo until the terminal is given back, once', () => {
    const terminal = new Terminal();
    const loudAgain = quietKeys(terminal as unknown as ReadStream);
    expect(terminal).toMatchObject({ isRaw: true, isFlowing: true });
    terminal.emit('data', Buffer.from('\u001b[C'));
    loudAgain();
    expect(terminal).toMatchObject({ isRaw: false, isFlowing: false });
    expect(terminal.listenerCount('data')).toBe(0);
    terminal.setRawMode(true);
    loudAgain();
    expect(terminal.isRaw).toBe(true);
  });

  it('still interrupt by Ctrl-C', () => {
    const kill = vi.spyOn(process, 'kill').mockReturnValue(true);
    const terminal = new Terminal();
    const loudAgain = quietKeys(terminal as unknown as ReadStream);
    terminal.emit('data', Buffer.from('\u0003'));
    expect(kill).toHaveBeenCalledWith(process.pid, 'SIGINT');
    loudAgain();
    kill.mockRestore();
  });
});
