// BBC micro:bit V2: nRF52833 at 64 MHz, built for ARMv6-M, which its Cortex-M4 runs as well. Registers and bits: nRF52833
// Product Specification, Nordic Semiconductor; block names as there.
//
// Pins: the schematic published by the Micro:bit Educational Foundation (microbit-v2-hardware, V2.0.0). The LSM303AGR hangs on
// the inner two-wire bus; the serial line leads to the interface chip, which is the USB port. A chip that is wired to the edge
// connector is on another bus and is not seen.
#ifdef LODEPOLE_NRF52833

#include "../processor.h"

#include "../firmware.h"
#include "../ring.h"
#include "busClear.h"
#include "instants.h"

const char *const processorName = "nrf52833";

static const uint32_t POWER = 0x40000000, CLOCK = 0x40000000, UARTE0 = 0x40002000, TWIM1 = 0x40004000, TIMER0 = 0x40008000,
                      WDT = 0x40010000, NVMC = 0x4001E000, P0 = 0x50000000, FICR = 0x10000000;
// The number of a block's interrupt is in its address (Instantiation).
static const uint8_t uartInterrupt = 2, timerInterrupt = 8;
static const uint32_t microsPerInstant = 1000000UL / instantsPerSecond;

static const uint8_t sda = 16, scl = 8, serialOut = 6, ledRow = 15, ledColumn = 31;
static const uint32_t serialIn = 1 << 5 | 8;  // P1.08

// --- Pins (GPIO). PIN_CNF: 0Ch pulls up, 600h is open drain ("standard 0, disconnect 1").

static const uint32_t GPIO_OUTSET = P0 + 0x508, GPIO_OUTCLR = P0 + 0x50C, GPIO_IN = P0 + 0x510, PIN_CNF = P0 + 0x700;
static const uint32_t openDrain = 0x60C, output = 3, openDrainOutput = openDrain | 1;

static bool pinIsHigh(uint8_t pin) { return at(GPIO_IN) & 1UL << pin; }

// One of the 25 lights, in the middle: its row high, its column low.
void lightSet(bool on) { at(on ? GPIO_OUTSET : GPIO_OUTCLR) = 1UL << ledRow; }

// --- Restart (POWER, RESETREAS) and watchdog (WDT). A dip of the supply reads like power-on: it is not told apart.

static RestartCause restartCause() {
  uint32_t reasons = at(POWER + 0x400);
  at(POWER + 0x400) = reasons;
  return reasons & 1 << 1 ? RestartCause::watchdog : RestartCause::ordinary;  // DOG
}

// Once it runs nothing stops it but a reset, so that it is fed from the start after one by itself.
void watchdogBegin() {
  at(WDT + 0x504) = 32768 / 2;  // CRV: half a second
  at(WDT + 0x508) = 1;          // RREN
  at(WDT + 0x50C) = 1;          // CONFIG: also in sleep
  at(WDT) = 1;                  // TASKS_START
}

void watchdogFeed() { at(WDT + 0x600) = 0x6E524635; }

// --- Clock: TIMER0, 32 bits of microseconds. Compare 0 makes the instants; capture 1 reads.

static uint32_t nextInstant;

uint32_t clockMicros() {
  disableInterrupts();
  at(TIMER0 + 0x44) = 1;  // TASKS_CAPTURE[1]
  uint32_t micros = at(TIMER0 + 0x544);
  enableInterrupts();
  return micros;
}

extern "C" void timerHandler() {
  at(TIMER0 + 0x140) = 0;  // EVENTS_COMPARE[0]
  do {
    nextInstant += microsPerInstant;
    pending = pending + 1;
    at(TIMER0 + 0x540) = nextInstant;
    at(TIMER0 + 0x48) = 1;  // TASKS_CAPTURE[2]
  } while ((int32_t)(nextInstant - at(TIMER0 + 0x548)) <= 0);
}

static void timerBegin() {
  at(CLOCK) = 1;  // TASKS_HFCLKSTART: the crystal
  while (!at(CLOCK + 0x100)) {
  }
  at(TIMER0 + 0x508) = 3;  // BITMODE: 32
  at(TIMER0 + 0x510) = 4;  // PRESCALER: 16 MHz / 16
  at(TIMER0) = 1;          // TASKS_START
}

void clockBegin() {
  nextInstant = clockMicros() + microsPerInstant;
  pending = 0;
  at(TIMER0 + 0x540) = nextInstant;
  at(TIMER0 + 0x304) = 1 << 16;  // INTENSET: COMPARE0
  at(NVIC_ISER) = 1 << timerInterrupt;
}

// --- Two-wire bus (TWIM1): whole transfers from and to memory.

static const uint32_t TWIM_STARTTX = TWIM1 + 0x08, TWIM_STOP = TWIM1 + 0x14, TWIM_STOPPED = TWIM1 + 0x104,
                      TWIM_ERROR = TWIM1 + 0x124, TWIM_SHORTS = TWIM1 + 0x200, TWIM_ERRORSRC = TWIM1 + 0x4C4,
                      TWIM_ENABLE = TWIM1 + 0x500;
static const uint32_t lastTxStartRx = 1 << 7, lastTxStop = 1 << 9, lastRxStop = 1 << 12;
static const uint32_t busPatience = 2000;  // microseconds for a transfer; the longest takes half of that

static bool outOfTime;

void busBegin() {
  at(PIN_CNF + 4 * sda) = openDrain;
  at(PIN_CNF + 4 * scl) = openDrain;
  at(TWIM1 + 0x508) = scl;         // PSEL.SCL
  at(TWIM1 + 0x50C) = sda;         // PSEL.SDA
  at(TWIM1 + 0x524) = 0x06400000;  // FREQUENCY: 400 kHz
  at(TWIM_ENABLE) = 6;
  outOfTime = false;
}

static bool waitForStop(uint32_t start) {
  while (!at(TWIM_STOPPED)) {
    if (at(TWIM_ERROR)) {
      at(TWIM_ERROR) = 0;
      at(TWIM_STOP) = 1;
    }
    if (clockMicros() - start > busPatience) {
      at(TWIM_ENABLE) = 0;
      outOfTime = true;
      return false;
    }
  }
  return true;
}

static bool transfer(uint8_t chip, const uint8_t *out, uint8_t outLength, uint8_t *bytes, uint8_t length) {
  if (outOfTime) return false;
  at(TWIM1 + 0x588) = chip;  // ADDRESS
  at(TWIM1 + 0x544) = (uint32_t)out;
  at(TWIM1 + 0x548) = outLength;
  at(TWIM1 + 0x534) = (uint32_t)bytes;
  at(TWIM1 + 0x538) = length;
  at(TWIM_SHORTS) = length > 0 ? lastTxStartRx | lastRxStop : lastTxStop;
  at(TWIM_STOPPED) = 0;
  at(TWIM_ERROR) = 0;
  at(TWIM_ERRORSRC) = 7;
  at(TWIM_STARTTX) = 1;
  if (!waitForStop(clockMicros())) return false;
  return at(TWIM_ERRORSRC) == 0 && at(TWIM1 + 0x54C) == outLength && (length == 0 || at(TWIM1 + 0x53C) == length);
}

// The block reads from memory only, so that nothing it sends may lie in flash.
bool busWrite(uint8_t chip, uint8_t address, uint8_t value) {
  static volatile uint8_t out[2];
  out[0] = address;
  out[1] = value;
  return transfer(chip, (const uint8_t *)out, 2, nullptr, 0);
}

bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length) {
  static volatile uint8_t out;
  static volatile uint8_t in[32];
  out = address;
  if (length > sizeof in || !transfer(chip, (const uint8_t *)&out, 1, (uint8_t *)in, length)) return false;
  for (uint8_t i = 0; i < length; i++) bytes[i] = in[i];
  return true;
}

bool busStuck() { return outOfTime || !pinIsHigh(sda) || !pinIsHigh(scl); }

static void setPin(uint8_t pin, bool high) { at(high ? GPIO_OUTSET : GPIO_OUTCLR) = 1UL << pin; }

struct Lines {
  bool sdaIsHigh() const { return pinIsHigh(sda); }
  void pullSda(bool low) const { setPin(sda, !low); }
  void pullScl(bool low) const { setPin(scl, !low); }
};

void busRecover() {
  at(TWIM_ENABLE) = 0;
  setPin(sda, true);
  setPin(scl, true);
  at(PIN_CNF + 4 * sda) = openDrainOutput;
  at(PIN_CNF + 4 * scl) = openDrainOutput;
  clearBus(Lines());
  pause(5);
  busBegin();
}

// --- Serial line (UARTE0): received byte by byte, sent in pieces out of memory.

static const uint32_t UART_STARTRX = UARTE0, UART_STARTTX = UARTE0 + 0x08, UART_ENDRX = UARTE0 + 0x110,
                      UART_ENDTX = UARTE0 + 0x120, UART_ERROR = UARTE0 + 0x124;
static const uint32_t endRx = 1 << 4, endTx = 1 << 8, endRxStartRx = 1 << 5;

static Ring<uint32_t, 256> sending, received;
static volatile uint8_t receivedByte, piece[64];
static volatile bool isSending;

// Called with interrupts off.
static void sendPiece() {
  uint32_t length = 0;
  while (length < sizeof piece && sending.used() > 0) piece[length++] = (uint8_t)sending.take();
  isSending = length > 0;
  if (!isSending) return;
  at(UARTE0 + 0x544) = (uint32_t)piece;
  at(UARTE0 + 0x548) = length;
  at(UART_STARTTX) = 1;
}

extern "C" void uartHandler() {
  if (at(UART_ENDRX)) {
    at(UART_ENDRX) = 0;
    if (received.room() > 0) received.put((char)receivedByte);
  }
  if (at(UART_ENDTX)) {
    at(UART_ENDTX) = 0;
    sendPiece();
  }
}

static void uartBegin() {
  at(PIN_CNF + 4 * serialOut) = output;
  at(P0 + 0x300 + 0x700 + 4 * 8) = 0xC;  // P1.08: input, pulled up
  at(UARTE0 + 0x50C) = serialOut;        // PSEL.TXD
  at(UARTE0 + 0x514) = serialIn;         // PSEL.RXD
  at(UARTE0 + 0x524) = 0x01D60000;       // BAUDRATE: 115200
  at(UARTE0 + 0x534) = (uint32_t)&receivedByte;
  at(UARTE0 + 0x538) = 1;
  at(UARTE0 + 0x200) = endRxStartRx;  // SHORTS
  at(UARTE0 + 0x304) = endRx | endTx;  // INTENSET
  at(UARTE0 + 0x500) = 8;              // ENABLE
  at(UART_STARTRX) = 1;
  at(NVIC_ISER) = 1 << uartInterrupt;
}

uint8_t serialRoom() { return sending.room() > 255 ? 255 : sending.room(); }
bool serialWantsMore() { return sending.room() >= 128; }

void serialWrite(char byte) {
  disableInterrupts();
  sending.put(byte);
  if (!isSending) sendPiece();
  enableInterrupts();
}

int16_t serialRead() { return received.used() > 0 ? (uint8_t)received.take() : -1; }

// --- Storage: the last pages of flash (NVMC). The processor stands still while a page is erased, some 85 ms. Putting on a new
// image may erase them.

static const uint32_t pageBytes = 4096, flashBytes = 512 * 1024;

static uint32_t pageOf(uint8_t slot) { return flashBytes - pageBytes * (slot + 1); }

static void nvmcMode(uint32_t mode) {
  at(NVMC + 0x504) = mode;
  while (!at(NVMC + 0x400)) {
  }
}

void storageRead(uint8_t slot, uint8_t *bytes, uint8_t length) {
  const volatile uint8_t *from = (const volatile uint8_t *)pageOf(slot);
  for (uint8_t i = 0; i < length; i++) bytes[i] = from[i];
}

void storageWrite(uint8_t slot, const uint8_t *bytes, uint8_t length) {
  disableInterrupts();
  nvmcMode(2);  // erase
  at(NVMC + 0x508) = pageOf(slot);
  nvmcMode(1);  // write, by words
  for (uint8_t i = 0; i < length; i += 4) {
    uint32_t word = 0;
    for (uint8_t j = 0; j < 4; j++) word |= (uint32_t)(i + j < length ? bytes[i + j] : 0xFF) << (8 * j);
    at(pageOf(slot) + i) = word;
    while (!at(NVMC + 0x400)) {
    }
  }
  nvmcMode(0);
  enableInterrupts();
}

// The chip's own number (FICR, DEVICEID), so that it is the same again after the flash was erased.
uint32_t processorNumber() {
  uint32_t hash = 2166136261UL;
  for (uint8_t i = 0; i < 8; i++) hash = (hash ^ (at(FICR + 0x60 + (i & 4)) >> (8 * (i & 3)) & 0xFF)) * 16777619UL;
  return hash;
}

RestartCause processorBegin() {
  RestartCause cause = restartCause();
  watchdogFeed();
  timerBegin();
  at(GPIO_OUTCLR) = 1UL << ledRow | 1UL << ledColumn;
  at(PIN_CNF + 4 * ledRow) = output;
  at(PIN_CNF + 4 * ledColumn) = output;
  uartBegin();
  enableInterrupts();
  return cause;
}

#include "startup.h"

__attribute__((section(".vectors"), used)) static const Routine vectors[16 + 48] = {
    (Routine)stackTop, startUp, hang,    hang,        nullptr, nullptr, nullptr, nullptr, nullptr,      nullptr, nullptr, hang, nullptr,
    nullptr,           hang,    hang,    hang,        hang,    uartHandler, hang, hang,   hang,    hang, hang, timerHandler,
};

#endif
