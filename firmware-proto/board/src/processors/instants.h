// Instants that the timer's interrupt has counted and the program has not handled, on every ARM processor. Included once, by the
// file of the processor.
#pragma once
#include "arm.h"

static volatile uint32_t pending;

bool clockInstantPending() { return pending > 0; }

bool clockInstant(uint8_t &missed) {
  disableInterrupts();
  uint32_t count = pending;
  pending = 0;
  enableInterrupts();
  missed = count > 255 ? 255 : count > 1 ? count - 1 : 0;
  return count > 0;
}

void sleepUntilInterrupt() {
  disableInterrupts();
  if (!clockInstantPending()) asm volatile("wfi");  // wakes all the same; the interrupt is served right after
  enableInterrupts();
}

static void pause(uint32_t micros) {
  for (uint32_t start = clockMicros(); clockMicros() - start <= micros;) {
  }
}
