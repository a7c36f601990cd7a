/** An open way to a board: bytes in, bytes out. Real, virtual and replayed boards all look like this. */
export interface BytePort {
  /** At most one listener. */
  onBytes(listener: (bytes: Uint8Array) => void): void;
  /** Called once, when the far end goes away; `reason` in words. Not called after `close()`. */
  onClose(listener: (reason: string) => void): void;
  /** Does nothing once the port is closed. */
  write(text: string): void;
  /** Never rejects. */
  close(): Promise<void>;
}

/** What identifies a USB serial adapter across names. */
export interface UsbIdentity {
  vendorId: string;
  productId: string;
  serialNumber?: string;
}

/** A port that may lead to a board. */
export interface PortCandidate {
  /** As the user knows it: a device path, or "virtual board, scene orchard". */
  name: string;
  usb?: UsbIdentity;
  /** Opens a new port object each time. Throws Failure with what is wrong and what to do. */
  open(): Promise<BytePort>;
}
