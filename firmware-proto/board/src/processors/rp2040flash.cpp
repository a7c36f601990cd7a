// The RP2040's storage: the last sectors of the first two megabytes of flash, by the routines of the boot ROM (2.8.3). While the flash is
// written nothing can be read from it, so this runs from memory, without interrupts.
// Registers, bits and section numbers: RP2040 Datasheet, Raspberry Pi Ltd.
#ifdef LODEPOLE_RP2040

#include "../processor.h"
#include "rp2040.h"

static const uint32_t flashBase = 0x10000000, sectorBytes = 4096, pageBytes = 256, storageEnd = 2 * 1024 * 1024;

static uint32_t sectorOf(uint8_t slot) { return storageEnd - sectorBytes * (slot + 1); }

typedef void (*RomRoutine)();
typedef void (*RomErase)(uint32_t offset, uint32_t count, uint32_t block, uint8_t command);
typedef void (*RomProgram)(uint32_t offset, const uint8_t *bytes, uint32_t count);

// Table and look-up routine of the boot ROM (2.8.3): half-words at 14h and 18h.
static void *romRoutine(char first, char second) {
  typedef void *(*LookUp)(uint16_t *table, uint32_t code);
  // Without the volatile the compiler takes a read so near to address 0 for a mistake.
  volatile uint32_t tableAt = 0x14, lookUpAt = 0x18;
  LookUp lookUp = (LookUp)(uint32_t) * (volatile uint16_t *)lookUpAt;
  return lookUp((uint16_t *)(uint32_t) * (volatile uint16_t *)tableAt, (uint8_t)first | (uint32_t)(uint8_t)second << 8);
}

struct FlashRoutines {
  RomRoutine connect, exitInPlace, flushCache;
  RomErase erase;
  RomProgram program;
};

static uint32_t bootCopy[64];

__attribute__((noinline, section(".ramcode"))) static void writePage(const FlashRoutines &rom, uint32_t offset,
                                                                     const uint8_t *page) {
  rom.connect();
  rom.exitInPlace();
  rom.erase(offset, sectorBytes, 65536, 0xD8);
  rom.program(offset, page, pageBytes);
  rom.flushCache();
  ((RomRoutine)((uint32_t)bootCopy | 1))();
}

void storageRead(uint8_t slot, uint8_t *bytes, uint8_t length) {
  const uint8_t *from = (const uint8_t *)(flashBase + sectorOf(slot));
  for (uint8_t i = 0; i < length; i++) bytes[i] = ((const volatile uint8_t *)from)[i];
}

void storageWrite(uint8_t slot, const uint8_t *bytes, uint8_t length) {
  static uint8_t page[pageBytes];
  for (uint32_t i = 0; i < pageBytes; i++) page[i] = i < length ? bytes[i] : 0xFF;
  for (uint8_t i = 0; i < 64; i++) bootCopy[i] = at(flashBase + 4 * i);
  const FlashRoutines rom = {(RomRoutine)romRoutine('I', 'F'), (RomRoutine)romRoutine('E', 'X'),
                             (RomRoutine)romRoutine('F', 'C'), (RomErase)romRoutine('R', 'E'),
                             (RomProgram)romRoutine('R', 'P')};
  disableInterrupts();
  writePage(rom, sectorOf(slot), page);
  enableInterrupts();
}

#endif
