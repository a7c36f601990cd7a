// Register and bit names: ATmega328P datasheet, System Control and Reset (MCUSR, WDTCSR).
//
// Many boot loaders clear MCUSR before the sketch can read it. So the watchdog runs in "interrupt and system reset" mode: its
// first time-out leaves a mark in memory that start-up code does not clear, its second resets the board.
#include "restart.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <stdint.h>

static const uint16_t biteMark = 0xB17E;
static uint16_t mark __attribute__((section(".noinit")));

ISR(WDT_vect) { mark = biteMark; }

RestartCause restartCause() {
  uint8_t flags = MCUSR;
  MCUSR = 0;  // WDRF overrides WDE: it must go before the watchdog can be stopped
  wdt_disable();
  bool bitten = mark == biteMark;
  mark = 0;
  if (flags & _BV(PORF)) return RestartCause::ordinary;  // after power-on the mark means nothing
  if (flags & _BV(BORF)) return RestartCause::brownout;
  if ((flags & _BV(WDRF)) || bitten) return RestartCause::watchdog;
  return RestartCause::ordinary;
}

void watchdogBegin() {
  wdt_enable(WDTO_250MS);
  WDTCSR |= _BV(WDIE);
}

void watchdogFeed() { wdt_reset(); }
