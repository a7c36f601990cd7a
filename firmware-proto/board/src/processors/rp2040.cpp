// Raspberry Pi Pico: RP2040 at 48 MHz. Registers, bits and section numbers: RP2040 Datasheet, Raspberry Pi Ltd.
//
// In this order: boot stage 2, clocks and watchdog, clock, pins, two-wire bus, serial line, USB, storage, number, start.
//
// Two-wire bus: I2C0 on GP4 (SDA) and GP5 (SCL). Serial line: USB, and UART0 on GP0 (out) and GP1 (in).
#ifdef LODEPOLE_RP2040

#include "../processor.h"

#include "../firmware.h"
#include "../ring.h"
#include "arm.h"
#include "busClear.h"
#include "cdc.h"
#include "instants.h"

const char *const processorName = "rp2040";

// Registers answer to atomic set and clear at these offsets (2.1.2).
static void setBits(uint32_t address, uint32_t bits) { at(address + 0x2000) = bits; }
static void clearBits(uint32_t address, uint32_t bits) { at(address + 0x3000) = bits; }

// --- Boot stage 2 (2.8.1): the boot ROM copies these 256 bytes to memory, checks their CRC and jumps there. It lets the flash be
// read in place by the plain read command 03h, which every serial flash has (4.10.8, SSI in "EEPROM read" mode), and goes
// on to the program; called by the program, it returns. It must work wherever it lies.

asm(R"(
.syntax unified
.cpu cortex-m0plus
.thumb
.section .boot, "ax"
bootStage2:
  push {lr}
  ldr r3, =0x18000000       @ XIP_SSI_BASE
  movs r1, #0
  str r1, [r3, #0x08]       @ SSIENR: off while it is set up
  movs r1, #2
  str r1, [r3, #0x14]       @ BAUDR: half the system clock, 24 MHz at most
  ldr r1, =0x001f0300       @ CTRLR0: 32 bits a frame, TMOD 3: "EEPROM read"
  str r1, [r3, #0x00]
  movs r1, #0
  str r1, [r3, #0x04]       @ CTRLR1: one frame
  ldr r1, =0x03000218       @ SPI_CTRLR0: command 03h of 8 bits, address of 24 bits
  ldr r0, =0x180000f4
  str r1, [r0]
  movs r1, #1
  str r1, [r3, #0x08]
  pop {r0}
  cmp r0, #0
  beq 1f
  bx r0
1:
  ldr r0, =0x10000100       @ vectors of the program
  ldr r1, =0xe000ed08       @ VTOR
  str r0, [r1]
  ldmia r0!, {r1, r2}
  msr msp, r1
  bx r2
.ltorg
.text
)");

// --- Clocks and watchdog (2.14, 2.15 to 2.18, 4.7): crystal 12 MHz; PLL of the USB to 48 MHz, which drives everything.

static const uint32_t RESETS = 0x4000C000, CLOCKS = 0x40008000, XOSC = 0x40024000, PLL_USB = 0x4002C000,
                      WATCHDOG = 0x40058000, PSM = 0x40010000, CHIP_RESET = 0x40064008;
static const uint32_t microsPerInstant = 1000000UL / instantsPerSecond;
static const uint32_t clockMHz = 48;

static void release(uint32_t blocks) {
  clearBits(RESETS, blocks);
  while (~at(RESETS + 8) & blocks) {  // RESET_DONE
  }
}

static void clocksBegin() {
  at(XOSC + 0x0C) = 47;  // STARTUP: 1 ms
  at(XOSC) = 0xFABAA0;   // CTRL: enable, 1 to 15 MHz
  while (!(at(XOSC + 4) & 1UL << 31)) {  // STATUS: stable
  }
  at(CLOCKS + 0x30) = 2;  // CLK_REF_CTRL: from the crystal
  while (at(CLOCKS + 0x38) != 1 << 2) {
  }
  at(CLOCKS + 0x3C) = 0;  // CLK_SYS_CTRL: from CLK_REF, while the PLL is set up
  while (at(CLOCKS + 0x44) != 1) {
  }
  setBits(RESETS, 1 << 13);
  release(1 << 13);                 // PLL_USB
  at(PLL_USB) = 1;                  // REFDIV
  at(PLL_USB + 8) = 100;            // FBDIV_INT: 1200 MHz
  clearBits(PLL_USB + 4, 1 << 5 | 1);  // PWR: on, VCO on
  while (!(at(PLL_USB) & 1UL << 31)) {
  }
  at(PLL_USB + 0xC) = 5 << 16 | 5 << 12;  // PRIM: divided by 5 and 5
  clearBits(PLL_USB + 4, 1 << 3);         // post dividers on
  at(CLOCKS + 0x3C) = 1 << 5;             // CLK_SYS_CTRL: AUXSRC the USB's PLL
  at(CLOCKS + 0x3C) = 1 << 5 | 1;
  while (at(CLOCKS + 0x44) != 1 << 1) {
  }
  at(CLOCKS + 0x48) = 1 << 11;  // CLK_PERI_CTRL: from CLK_SYS
  at(CLOCKS + 0x54) = 1 << 11;  // CLK_USB_CTRL: from the USB's PLL
  at(WATCHDOG + 0x2C) = 12 | 1 << 9;  // TICK: a microsecond, for watchdog and timer
}

// A dip of the supply reads like power-on (CHIP_RESET, HAD_POR), so that it is not told apart here.
static RestartCause restartCause() {
  bool byWatchdog = at(WATCHDOG + 8) != 0;  // REASON
  return byWatchdog ? RestartCause::watchdog : RestartCause::ordinary;
}

// RP2040-E1: the counter goes down twice a microsecond. The boot ROM takes no part in what SCRATCH4 does not tell it to.
static void loadWatchdog() { at(WATCHDOG + 4) = 2 * 500000UL; }

void watchdogBegin() {
  at(PSM + 8) = 0x1FFFC;  // WDSEL: everything but the oscillators
  loadWatchdog();
  setBits(WATCHDOG, 1UL << 30);
}

void watchdogFeed() { loadWatchdog(); }

// --- Clock: the timer counts microseconds for itself (4.6). An alarm each millisecond wakes the loop, each tenth is an instant.

static const uint32_t TIMER = 0x40054000;
static const uint8_t timerInterrupt = 0;
static const uint32_t microsPerWake = 1000;

static uint32_t nextWake, nextInstant;

uint32_t clockMicros() { return at(TIMER + 0x28); }  // TIMERAWL

extern "C" void timerHandler() {
  at(TIMER + 0x34) = 1;  // INTR
  do {
    nextWake += microsPerWake;
    if ((int32_t)(nextWake - nextInstant) >= 0) {
      nextInstant += microsPerInstant;
      pending = pending + 1;
    }
    at(TIMER + 0x10) = nextWake;  // ALARM0
  } while ((int32_t)(nextWake - clockMicros()) <= 0);
}

void clockBegin() {
  disableInterrupts();
  nextWake = clockMicros() + microsPerWake;
  nextInstant = nextWake + microsPerInstant;
  pending = 0;
  at(TIMER + 0x38) = 1;  // INTE
  at(TIMER + 0x10) = nextWake;
  at(NVIC_ISER) = 1 << timerInterrupt;
  enableInterrupts();
}

// --- Pins (2.19): GPIOn_CTRL, pads, and single-cycle input and output (2.3.1.2).

static const uint32_t IO_BANK0 = 0x40014000, PADS_BANK0 = 0x4001C000, SIO = 0xD0000000;
enum PinFunction : uint8_t { pinUart = 2, pinI2c = 3, pinSio = 5 };
static const uint8_t uartOut = 0, uartIn = 1, sda = 4, scl = 5, led = 25;

static void usePin(uint8_t pin, PinFunction function, bool pullUp) {
  at(PADS_BANK0 + 4 + 4 * pin) = 1 << 6 | 1 << 4 | 1 << 1 | (pullUp ? 1 << 3 : 0);  // IE, 4 mA, SCHMITT, PUE
  at(IO_BANK0 + 4 + 8 * pin) = function;
}

static bool pinIsHigh(uint8_t pin) { return at(SIO + 0x04) & 1UL << pin; }
// Open drain: an output of 0, or an input.
static void pullLow(uint8_t pin) { at(SIO + 0x24) = 1UL << pin; }
static void letGo(uint8_t pin) { at(SIO + 0x28) = 1UL << pin; }

void lightSet(bool on) { at(SIO + (on ? 0x14 : 0x18)) = 1UL << led; }

// --- Two-wire bus (4.3): commands go into a queue of sixteen, and the block does the rest.

static const uint32_t I2C = 0x40044000;
static const uint32_t IC_CON = I2C, IC_TAR = I2C + 4, IC_DATA_CMD = I2C + 0x10, IC_FS_SCL_HCNT = I2C + 0x1C,
                      IC_FS_SCL_LCNT = I2C + 0x20, IC_RAW_INTR_STAT = I2C + 0x34, IC_CLR_TX_ABRT = I2C + 0x54,
                      IC_CLR_STOP_DET = I2C + 0x60, IC_ENABLE = I2C + 0x6C, IC_STATUS = I2C + 0x70,
                      IC_SDA_HOLD = I2C + 0x7C, IC_FS_SPKLEN = I2C + 0xA0;
static const uint32_t TX_ABRT = 1 << 6, STOP_DET = 1 << 9, TFNF = 1 << 1, RFNE = 1 << 3;
static const uint32_t readCommand = 1 << 8, stopAfter = 1 << 9, restartBefore = 1 << 10;
static const uint32_t busPatience = 2000;  // microseconds for a transfer; the longest takes half of that

static bool outOfTime;

// Reading these clears.
static void clear(uint32_t address) {
  uint32_t ignored = at(address);
  (void)ignored;
}

void busBegin() {
  usePin(sda, pinI2c, true);
  usePin(scl, pinI2c, true);
  at(IC_ENABLE) = 0;
  at(IC_CON) = 1 | 2 << 1 | 1 << 5 | 1 << 6 | 1 << 8;  // master, fast, restart, no slave, TX_EMPTY_CTRL
  at(IC_FS_SCL_LCNT) = clockMHz * 3 / 2;               // 1.5 us
  at(IC_FS_SCL_HCNT) = clockMHz;                       // 1 us: 400 kHz
  at(IC_FS_SPKLEN) = 4;
  at(IC_SDA_HOLD) = 15;  // 0.3 us
  outOfTime = false;
}

static bool waitFor(uint32_t address, uint32_t bits, uint32_t start) {
  while (!(at(address) & bits)) {
    if (clockMicros() - start > busPatience) {
      at(IC_ENABLE) = 0;
      outOfTime = true;
      return false;
    }
  }
  return true;
}

// Sends `out` (the register's address first), then reads `length` bytes.
static bool transfer(uint8_t chip, const uint8_t *out, uint8_t outLength, uint8_t *bytes, uint8_t length) {
  at(IC_ENABLE) = 0;
  at(IC_TAR) = chip;
  at(IC_ENABLE) = 1;
  clear(IC_CLR_TX_ABRT);
  clear(IC_CLR_STOP_DET);
  uint32_t start = clockMicros();
  uint8_t received = 0;
  for (uint8_t i = 0; i < outLength + length && !(at(IC_RAW_INTR_STAT) & TX_ABRT); i++) {
    if (!waitFor(IC_STATUS, TFNF, start)) return false;
    bool isLast = i + 1 == outLength + length;
    uint32_t command = i < outLength ? out[i] : readCommand | (i == outLength ? restartBefore : 0);
    at(IC_DATA_CMD) = command | (isLast ? stopAfter : 0);
    while (received < length && (at(IC_STATUS) & RFNE)) bytes[received++] = (uint8_t)at(IC_DATA_CMD);
  }
  if (!waitFor(IC_RAW_INTR_STAT, STOP_DET, start)) return false;
  while (received < length && (at(IC_STATUS) & RFNE)) bytes[received++] = (uint8_t)at(IC_DATA_CMD);
  return !(at(IC_RAW_INTR_STAT) & TX_ABRT) && received == length;
}

bool busWrite(uint8_t chip, uint8_t address, uint8_t value) {
  const uint8_t out[2] = {address, value};
  return transfer(chip, out, 2, nullptr, 0);
}

bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length) {
  return transfer(chip, &address, 1, bytes, length);
}

bool busStuck() { return outOfTime || !pinIsHigh(sda) || !pinIsHigh(scl); }

struct Lines {
  bool sdaIsHigh() const { return pinIsHigh(sda); }
  void pullSda(bool low) const { low ? pullLow(sda) : letGo(sda); }
  void pullScl(bool low) const { low ? pullLow(scl) : letGo(scl); }
};

void busRecover() {
  setBits(RESETS, 1 << 3);  // I2C0: out of whatever it waits for
  release(1 << 3);
  at(SIO + 0x18) = 1UL << sda | 1UL << scl;
  letGo(sda);
  letGo(scl);
  usePin(sda, pinSio, true);
  usePin(scl, pinSio, true);
  clearBus(Lines());
  busBegin();
}

// --- Serial line: UART0 (4.2), filled up at every wake, and USB (cdc.h). What one of them cannot take is lost on it alone.

static const uint32_t UART = 0x40034000, UARTDR = UART, UARTFR = UART + 0x18;
static const uint32_t TXFF = 1 << 5, RXFE = 1 << 4;

typedef Ring<uint32_t, 256> SerialRing;
static SerialRing sending, received;

static void uartBegin() {
  usePin(uartOut, pinUart, false);
  usePin(uartIn, pinUart, true);
  at(UART + 0x24) = 26;                // UARTIBRD: 48 MHz / (16 x 115200) = 26 + 3/64
  at(UART + 0x28) = 3;                 // UARTFBRD
  at(UART + 0x2C) = 3 << 5 | 1 << 4;   // UARTLCR_H: 8 bits, queues
  at(UART + 0x30) = 1 << 9 | 1 << 8 | 1;  // UARTCR: RXE, TXE, UARTEN
}

static void pumpUart() {
  while (sending.used() > 0 && !(at(UARTFR) & TXFF)) at(UARTDR) = (uint8_t)sending.take();
  while (received.room() > 0 && !(at(UARTFR) & RXFE)) received.put((char)at(UARTDR));
}

uint8_t serialRoom() {
  pumpUart();
  return sending.room() > 255 ? 255 : sending.room();
}

bool serialWantsMore() {
  pumpUart();
  return sending.room() >= 128;
}

void serialWrite(char byte) {
  sending.put(byte);
  cdcWrite(byte);
}

int16_t serialRead() {
  pumpUart();
  if (received.used() > 0) return (uint8_t)received.take();
  return cdcRead();
}

// --- USB device controller (4.1), as cdc.h asks for it.

static const uint8_t usbInterrupt = 5;

static const uint32_t USB_MEMORY = 0x50100000, USB = 0x50110000;
static const uint32_t MAIN_CTRL = USB + 0x40, SIE_CTRL = USB + 0x4C, SIE_STATUS = USB + 0x50, BUFF_STATUS = USB + 0x58,
                      EP_STALL_ARM = USB + 0x68, USB_MUXING = USB + 0x74, USB_PWR = USB + 0x78, INTE = USB + 0x90;
static const uint32_t BUS_RESET = 1 << 19, SETUP_REC = 1 << 17;
static const uint32_t bufferFull = 1 << 15, bufferData1 = 1 << 13, bufferStall = 1 << 11, bufferAvailable = 1 << 10;

static uint32_t bufferControl(uint8_t endpoint, bool isIn) {
  return USB_MEMORY + 0x80 + 8 * endpoint + (isIn ? 0 : 4);
}
static uint32_t bufferOffset(uint8_t endpoint, bool isIn) {
  return endpoint == 0 ? 0x100 : 0x180 + 128 * (endpoint - 1) + (isIn ? 0 : 64);
}

// "Concurrent access" (4.1.2.5.1): the buffer is made available some cycles after the rest of its control word.
static void makeAvailable(uint8_t endpoint, bool isIn, uint32_t control) {
  at(bufferControl(endpoint, isIn)) = control;
  asm volatile("nop; nop; nop; nop; nop; nop; nop; nop; nop; nop; nop; nop");
  at(bufferControl(endpoint, isIn)) = control | bufferAvailable;
}

void usbSend(uint8_t endpoint, const uint8_t *bytes, uint8_t length, bool isData1) {
  volatile uint8_t *to = (volatile uint8_t *)(USB_MEMORY + bufferOffset(endpoint, true));
  for (uint8_t i = 0; i < length; i++) to[i] = bytes[i];
  makeAvailable(endpoint, true, length | bufferFull | (isData1 ? bufferData1 : 0));
}

void usbExpect(uint8_t endpoint, bool isData1) { makeAvailable(endpoint, false, 64 | (isData1 ? bufferData1 : 0)); }

void usbStall() {
  at(EP_STALL_ARM) = 3;
  at(bufferControl(0, true)) = bufferStall;
  at(bufferControl(0, false)) = bufferStall;
}

void usbSetAddress(uint8_t address) { at(USB) = address; }

void usbOpen(uint8_t endpoint, bool isIn, UsbType type) {
  at(USB_MEMORY + 8 * endpoint + (isIn ? 0 : 4)) =
      1UL << 31 | 1UL << 29 | (uint32_t)type << 26 | bufferOffset(endpoint, isIn);
}

extern "C" void usbHandler() {
  uint32_t status = at(SIE_STATUS);
  if (status & BUS_RESET) {
    at(SIE_STATUS) = BUS_RESET;
    usbSetAddress(0);
    cdcReset();
  }
  if (status & SETUP_REC) {
    at(SIE_STATUS) = SETUP_REC;
    uint8_t setup[8];
    for (uint8_t i = 0; i < 8; i++) setup[i] = ((volatile uint8_t *)USB_MEMORY)[i];
    cdcSetup(setup);
  }
  uint32_t done = at(BUFF_STATUS);
  at(BUFF_STATUS) = done;
  for (uint8_t endpoint = 0; endpoint < 3; endpoint++) {
    if (done & 1UL << (2 * endpoint)) cdcSent(endpoint);
    if (done & 2UL << (2 * endpoint)) {
      uint8_t length = at(bufferControl(endpoint, false)) & 0x7F;
      cdcReceived(endpoint, (const volatile uint8_t *)(USB_MEMORY + bufferOffset(endpoint, false)), length);
    }
  }
}

// cdc.cpp starts a transfer from the program; the interrupt would get in its way.
void usbHold() { at(NVIC_ICER) = 1 << usbInterrupt; }
void usbResume() { at(NVIC_ISER) = 1 << usbInterrupt; }

static void usbBegin() {
  for (uint32_t offset = 0; offset < 0x100; offset += 4) at(USB_MEMORY + offset) = 0;
  at(USB_MUXING) = 1 << 3 | 1;      // SOFTCON, TO_PHY
  at(USB_PWR) = 1 << 3 | 1 << 2;    // VBUS is taken as there
  at(MAIN_CTRL) = 1;                // device
  at(SIE_CTRL) = 1 << 29;           // EP0_INT_1BUF
  at(INTE) = 1 << 4 | 1 << 12 | 1 << 16;  // BUFF_STATUS, BUS_RESET, SETUP_REQ
  at(NVIC_ISER) = 1 << usbInterrupt;
  setBits(SIE_CTRL, 1 << 16);       // PULLUP_EN: shows itself to the host
}

// --- Storage: the last sectors of the first two megabytes of flash, by the routines of the boot ROM (2.8.3). While the flash is
// written nothing can be read from it, so this runs from memory, without interrupts.

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

// --- Number: from the ring oscillator, which is not steady (2.17.5, ROSC RANDOMBIT), against the crystal's time.

uint32_t processorNumber() {
  uint32_t hash = 2166136261UL;
  for (uint16_t i = 0; i < 1024; i++) {
    hash = (hash ^ (at(0x4006001C) & 1) ^ (clockMicros() << 1 & 0xFF)) * 16777619UL;
    for (volatile uint8_t wait = 0; wait < 7; wait = wait + 1) {
    }
  }
  return hash;
}

// --- Start.

RestartCause processorBegin() {
  RestartCause cause = restartCause();
  clearBits(WATCHDOG, 1UL << 30);
  clocksBegin();
  // IO_BANK0, PADS_BANK0, I2C0, TIMER, UART0, USBCTRL
  const uint32_t blocks = 1 << 5 | 1 << 8 | 1 << 3 | 1 << 21 | 1 << 22 | 1 << 24;
  setBits(RESETS, blocks & ~(1 << 5 | 1 << 8 | 1 << 21));
  release(blocks);
  at(SIO + 0x24) = 1UL << led;
  usePin(led, pinSio, false);
  uartBegin();
  usbBegin();
  enableInterrupts();
  return cause;
}

#include "startup.h"

__attribute__((section(".vectors"), used)) static const Routine vectors[16 + 26] = {
    (Routine)stackTop, startUp, hang, hang, nullptr, nullptr, nullptr, nullptr, nullptr, nullptr, nullptr, hang,
    nullptr, nullptr, hang, hang, timerHandler, hang, hang, hang, hang, usbHandler,
};

#endif
