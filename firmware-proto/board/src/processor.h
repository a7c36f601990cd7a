// Everything that differs from processor to processor. Each has its own files in processors/, and no register of a processor
// stands anywhere else.
#pragma once
#include <stdint.h>

enum class RestartCause : uint8_t { ordinary, watchdog, brownout };

// Of the hello: one word.
extern const char *const processorName;

// Called first of all: stops a watchdog that still runs, tells why the board started.
RestartCause processorBegin();

// --- The watchdog: restarts a program that hangs, within a second.
void watchdogBegin();
void watchdogFeed();

// --- The clock. It counts whole microseconds and loses none, whatever holds up interrupts for less than an instant.
const uint8_t instantsPerSecond = 100;

void clockBegin();
// Rolls over after 2^32.
uint32_t clockMicros();
// True once for each sampling instant; `missed` is the number of instants that went by unhandled before it.
bool clockInstant(uint8_t &missed);
bool clockInstantPending();
// Returns at an interrupt, at the latest with the next instant.
void sleepUntilInterrupt();

// --- The two-wire bus, 400 kHz. Every wait is bounded. False: not acknowledged, or out of time.
void busBegin();
bool busWrite(uint8_t chip, uint8_t address, uint8_t value);
// `address` as the chip wants it, with its auto-increment bit where it has one.
bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length);
// True when a line is held low although nobody is talking, or a transfer has run out of time.
bool busStuck();
// Clocks a chip out of a byte that it is stuck in and starts the bus afresh; about 0.2 ms.
// I2C-bus specification UM10204, 3.1.16 "Bus clear": up to nine clock pulses, then a STOP.
void busRecover();

// --- The serial line, 115200 8N1 or USB. Nothing here waits.
// Bytes that can be written now.
uint8_t serialRoom();
// True when so little is on its way that more should be written now.
bool serialWantsMore();
void serialWrite(char byte);
// The next received byte, -1 when there is none.
int16_t serialRead();

// --- What outlives the supply. A slot is written as a whole. When the supply fails meanwhile, that slot may hold anything,
// and every other slot is as it was. A blank slot reads FF. Slot 0 holds the first six bytes only.
const uint8_t storageSlots = 3;
const uint8_t storageBytes = 20;
void storageRead(uint8_t slot, uint8_t *bytes, uint8_t length);
void storageWrite(uint8_t slot, const uint8_t *bytes, uint8_t length);
// A number that hardly any other board has: from the processor's own number, or from noise.
uint32_t processorNumber();

// --- The light, on or off.
void lightSet(bool on);
