import { readFileSync } from 'node:fs';
import { parseIntelHex } from '../intelHex.ts';
import type { BoardChipNames } from '../chips/models.ts';
import { Random } from '../random.ts';
import type { World } from '../world.ts';
import { ArmBoard } from './armBoard.ts';
import { MicrobitProcessor, microbitFlashBytes } from './microbitProcessor.ts';
import { PicoProcessor, picoFlash } from './picoProcessor.ts';
import { parseUf2 } from './uf2.ts';

const image = (name: string): URL => new URL(`../../image/${name}`, import.meta.url);

export interface ArmBoardOptions {
  /** Of what differs from chip to chip. */
  seed?: number;
  /** A whole flash, image and all that was kept; the committed image by default. */
  flash?: Uint8Array;
  /** An LSM303AGR by default; a micro:bit has no other. */
  chips?: BoardChipNames;
}

/** The committed image on an emulated Raspberry Pi Pico, heard on its USB or on its UART. */
export function picoBoard(world: World, line: 'usb' | 'uart', options: ArmBoardOptions = {}): ArmBoard<PicoProcessor> {
  const random = new Random(options.seed ?? 1);
  const { family, start, bytes } = picoFlash;
  const flash = options.flash ?? parseUf2(readFileSync(image('lodepole-pico.uf2')), family, start, bytes);
  const randomBit = (): boolean => random.uniform() < 0.5;
  return new ArmBoard(world, flash, (parts) => new PicoProcessor({ ...parts, line, randomBit }), options.chips);
}

/** The committed image on an emulated micro:bit V2. */
export function microbitBoard(world: World, options: ArmBoardOptions = {}): ArmBoard<MicrobitProcessor> {
  const random = new Random(options.seed ?? 1);
  const flash =
    options.flash ?? parseIntelHex(readFileSync(image('lodepole-microbit.hex'), 'latin1'), microbitFlashBytes);
  const word = (): number => Math.floor(random.uniform() * 2 ** 32);
  const deviceId = [word(), word()] as const;
  return new ArmBoard(world, flash, (parts) => new MicrobitProcessor({ ...parts, deviceId }), options.chips);
}
