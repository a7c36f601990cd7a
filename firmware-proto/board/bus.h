// The two-wire bus: registers of a chip, with every wait bounded, and recovery when it hangs.
#pragma once
#include <stdint.h>

void busBegin();
bool busWrite(uint8_t chip, uint8_t address, uint8_t value);
// `address` as the chip wants it, with its auto-increment bit where it has one.
bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length);
// True when a line is held low although nobody is talking, or a transfer has run out of time.
bool busStuck();
// Clocks a chip out of a byte it is stuck in and starts the bus afresh; about 0.2 ms.
void busRecover();
