// The board's clock and its sampling instants, from Timer 1 alone: it loses nothing while interrupts are held up for less
// than a whole period, which the core's micros() does after one millisecond.
#pragma once
#include <stdint.h>

const uint8_t instantsPerSecond = 100;

void clockBegin();
// True once per sampling instant; `missed` is the number of instants that went by unhandled before it.
bool clockInstant(uint8_t &missed);
bool clockInstantPending();
uint32_t clockMicros();
