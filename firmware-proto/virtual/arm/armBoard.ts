import type { BoardChipNames } from '../chips/models.ts';
import { EmulatedBoard, type EmulatedProcessor } from '../emulatedBoard.ts';
import type { TwoWireDevice } from '../twoWire.ts';
import type { World } from '../world.ts';
import type { OpenDrain } from './openDrain.ts';

interface ArmProcessor extends EmulatedProcessor {
  readonly bus: OpenDrain;
  readonly flash: Uint8Array;
}

interface ArmParts {
  flash: Uint8Array;
  byWatchdog: boolean;
  devices: readonly TwoWireDevice[];
  onByte: (byte: number) => void;
}

/** An image on an emulated ARM processor. */
export class ArmBoard<Processor extends ArmProcessor = ArmProcessor> extends EmulatedBoard<Processor, World> {
  processor: Processor;
  private readonly create: (parts: ArmParts) => Processor;
  private readonly image: Uint8Array;

  /** `flash`: the image and what was kept, as a whole. */
  constructor(world: World, flash: Uint8Array, create: (parts: ArmParts) => Processor, chips?: BoardChipNames) {
    super(world, 0, chips);
    this.image = flash.slice();
    this.create = create;
    this.processor = this.newProcessor(this.image.slice(), false);
  }

  /** The flash keeps what the program wrote, and the program itself is whole again. */
  restart(cause: 'power' | 'watchdog'): void {
    const flash = this.processor.flash.slice();
    flash.set(this.image.subarray(0, flash.length / 2));
    this.replaceProcessor(this.newProcessor(flash, cause === 'watchdog'), cause === 'power');
  }

  private newProcessor(flash: Uint8Array, byWatchdog: boolean): Processor {
    const { onTheBus, onByte } = this;
    return this.create({ flash, byWatchdog, devices: onTheBus, onByte });
  }
}
