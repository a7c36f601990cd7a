// Register and bit names: ATmega328P datasheet, 16-bit Timer/Counter1 with PWM, "Clear Timer on Compare Match" mode.
#include "clock.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

static const uint8_t microsPerCount = 4;  // 16 MHz / 64
static const uint16_t periodMicros = 10000;

static volatile uint32_t periodStart;
static volatile uint8_t pending;

ISR(TIMER1_COMPA_vect) {
  periodStart += periodMicros;
  if (pending < 255) pending++;
}

void clockBegin() {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    TCCR1A = 0;
    TCCR1B = _BV(WGM12) | _BV(CS11) | _BV(CS10);
    OCR1A = periodMicros / microsPerCount - 1;
    TCNT1 = 0;
    TIFR1 = _BV(OCF1A);
    TIMSK1 = _BV(OCIE1A);
  }
}

bool clockInstantPending() { return pending > 0; }

bool clockInstant(uint8_t &missed) {
  uint8_t count;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    count = pending;
    pending = 0;
  }
  missed = count > 1 ? count - 1 : 0;
  return count > 0;
}

uint32_t clockMicros() {
  uint32_t start;
  uint16_t counts;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    counts = TCNT1;
    start = periodStart;
    // The period ended while interrupts were off: its interrupt is still to come.
    if ((TIFR1 & _BV(OCF1A)) && counts < periodMicros / microsPerCount / 2) start += periodMicros;
  }
  return start + counts * microsPerCount;
}
