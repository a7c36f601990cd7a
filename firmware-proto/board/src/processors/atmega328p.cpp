// ATmega328P at 16 MHz. Register and bit names: Microchip DS40002061B, ATmega48A/PA/88A/PA/168A/PA/328/P.
#ifdef __AVR_ATmega328P__

#include "../processor.h"

#include <avr/boot.h>
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "../firmware.h"
#include "../ring.h"

const char *const processorName = "atmega328p";

// --- Restart and watchdog ("System Control and Reset"). Many boot loaders clear MCUSR before the program can read it. So the
// watchdog runs in "interrupt and system reset" mode: its first time-out leaves a mark in memory that start-up code does not
// clear, its second resets the board.

static const uint16_t biteMark = 0xB17E;
static uint16_t mark __attribute__((section(".noinit")));

ISR(WDT_vect) { mark = biteMark; }

static RestartCause restartCause() {
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

// --- Clock ("16-bit Timer/Counter1 with PWM", mode "Clear Timer on Compare Match"): half a microsecond a count.

static const uint8_t countsPerMicro = 2;  // 16 MHz / 8
static const uint16_t periodMicros = 1000000UL / instantsPerSecond;
static const uint16_t periodCounts = periodMicros * countsPerMicro;

static volatile uint32_t periodStart;
static volatile uint8_t pending;

ISR(TIMER1_COMPA_vect) {
  periodStart += periodMicros;
  if (pending < 255) pending++;
}

void clockBegin() {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    TCCR1A = 0;
    TCCR1B = _BV(WGM12) | _BV(CS11);
    OCR1A = periodCounts - 1;
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
    if ((TIFR1 & _BV(OCF1A)) && counts < periodCounts / 2) start += periodMicros;
  }
  return start + counts / countsPerMicro;
}

void sleepUntilInterrupt() {
  cli();
  if (!clockInstantPending()) {
    sleep_enable();
    sei();  // takes effect after the next instruction: no interrupt can slip in before the sleep
    sleep_cpu();
    sleep_disable();
  }
  sei();
}

// --- Two-wire bus ("2-wire Serial Interface"). The interrupt only tells that a step is done; it is waited for, at most so long.

static const uint8_t sda = _BV(PC4), scl = _BV(PC5);
static const uint8_t bitRate = (F_CPU / 400000UL - 16) / 2;  // TWBR at prescaler 1
static const uint16_t longestStep = 2000;                    // turns of the waiting loop, each some 8 cycles: 1 ms
// Status codes TW_START and so on, tables "Status codes for Master Transmitter/Receiver Mode".
static const uint8_t startSent = 0x08, startSentAgain = 0x10, addressTaken = 0x18, dataTaken = 0x28, readAddressTaken = 0x40,
                     dataReceived = 0x50, lastDataReceived = 0x58;

static volatile bool stepDone;
static bool outOfTime;

ISR(TWI_vect) {
  TWCR = _BV(TWEN);  // without TWINT the bus waits
  stepDone = true;
}

// One step of a transfer. Its status, 0 when it ran out of time.
static uint8_t busStep(uint8_t control) {
  stepDone = false;
  TWCR = _BV(TWINT) | _BV(TWEN) | _BV(TWIE) | control;
  for (uint16_t left = longestStep; left > 0; left--) {
    if (stepDone) return TWSR & 0xF8;
  }
  TWCR = 0;
  outOfTime = true;
  return 0;
}

static bool busSend(uint8_t byte, uint8_t wanted) {
  TWDR = byte;
  return busStep(0) == wanted;
}

static bool busStop(bool isDone) {
  if (outOfTime) return false;
  TWCR = _BV(TWINT) | _BV(TWEN) | _BV(TWSTO);
  for (uint16_t left = longestStep; TWCR & _BV(TWSTO); left--) {
    if (left == 0) {
      TWCR = 0;
      outOfTime = true;
      return false;
    }
  }
  return isDone;
}

static bool busAddress(uint8_t chip, uint8_t address) {
  return busStep(_BV(TWSTA)) == startSent && busSend(chip << 1, addressTaken) && busSend(address, dataTaken);
}

void busBegin() {
  PORTC |= sda | scl;  // weak pull-ups, beside the breakout's own
  TWBR = bitRate;  // the prescaler is 1 after every reset
  TWCR = _BV(TWEN);
  outOfTime = false;
}

bool busWrite(uint8_t chip, uint8_t address, uint8_t value) {
  return busStop(busAddress(chip, address) && busSend(value, dataTaken));
}

static bool busReceive(uint8_t *bytes, uint8_t length) {
  for (uint8_t i = 0; i < length; i++) {
    bool isLast = i + 1 == length;
    if (busStep(isLast ? 0 : _BV(TWEA)) != (isLast ? lastDataReceived : dataReceived)) return false;
    bytes[i] = TWDR;
  }
  return true;
}

bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length) {
  return busStop(busAddress(chip, address) && busStep(_BV(TWSTA)) == startSentAgain &&
                 busSend(chip << 1 | 1, readAddressTaken) && busReceive(bytes, length));
}

bool busStuck() { return outOfTime || (PINC & (sda | scl)) != (sda | scl); }

// A line is let go as an input, and pulled low as an output of 0.
void busRecover() {
  TWCR = 0;
  DDRC &= ~(sda | scl);
  PORTC = (PORTC & ~scl) | sda;
  for (uint8_t i = 0; i < 9 && !(PINC & sda); i++) {
    DDRC |= scl;
    _delay_us(5);
    DDRC &= ~scl;
    _delay_us(5);
  }
  DDRC |= scl;
  PORTC &= ~sda;
  DDRC |= sda;
  _delay_us(5);
  DDRC &= ~scl;
  PORTC |= scl;
  _delay_us(5);
  DDRC &= ~sda;
  busBegin();
}

// --- Serial line ("USART0"), 115200 baud to 2.1 percent at double speed, with a ring of bytes each way.

static const uint8_t ringBytes = 64;
static Ring<uint8_t, ringBytes> sending, received;

ISR(USART_UDRE_vect) {
  UDR0 = sending.take();
  if (sending.used() == 0) UCSR0B &= ~_BV(UDRIE0);
}

ISR(USART_RX_vect) {
  char byte = UDR0;
  if (received.room() > 0) received.put(byte);
}

static void serialBegin() {
  UBRR0 = 16;  // table "Examples of UBRRn Settings", 16 MHz, U2X
  UCSR0A = _BV(U2X0);
  UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
  UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
}

uint8_t serialRoom() { return sending.room(); }
bool serialWantsMore() { return sending.room() >= ringBytes / 2; }

void serialWrite(char byte) {
  sending.put(byte);
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { UCSR0B |= _BV(UDRIE0); }
}

int16_t serialRead() { return received.used() == 0 ? -1 : (uint8_t)received.take(); }

// --- Storage: EEPROM, from its very end, out of the way of anything else. Slot 0 lies behind the others.

static const uint16_t numberPlace = E2END + 1 - 6;

static uint8_t *placeOf(uint8_t slot) { return (uint8_t *)(numberPlace - slot * storageBytes); }

void storageRead(uint8_t slot, uint8_t *bytes, uint8_t length) { eeprom_read_block(bytes, placeOf(slot), length); }
void storageWrite(uint8_t slot, const uint8_t *bytes, uint8_t length) {
  eeprom_update_block(bytes, placeOf(slot), length);
}

// FNV-1a, 32 bit: one step.
static uint32_t mix(uint32_t hash, uint8_t byte) { return (hash ^ byte) * 16777619UL; }

// One conversion of an input that nothing is wired to, against AVcc: its last bits are noise.
static uint8_t noise(uint8_t channel) {
  ADMUX = _BV(REFS0) | channel;
  ADCSRA = _BV(ADEN) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0) | _BV(ADSC);
  while (ADCSRA & _BV(ADSC)) {
  }
  return ADCL ^ ADCH;
}

// From the chip's serial number in the signature row (not documented for the plain 328P, but there: from memory) and from noise.
uint32_t processorNumber() {
  uint32_t hash = 2166136261UL;
  for (uint8_t address = 0x0E; address <= 0x17; address++) hash = mix(hash, boot_signature_byte_get(address));
  for (uint8_t i = 0; i < 128; i++) hash = mix(hash, noise(i & 3));
  ADCSRA = 0;
  return hash;
}

// --- Light: PB5, the LED of Nano and Uno.

void lightSet(bool on) {
  if (on) {
    PORTB |= _BV(PB5);
  } else {
    PORTB &= ~_BV(PB5);
  }
}

RestartCause processorBegin() {
  RestartCause cause = restartCause();
  set_sleep_mode(SLEEP_MODE_IDLE);
  DDRB |= _BV(PB5);
  serialBegin();
  sei();
  return cause;
}

#ifndef ARDUINO
int main() {
  firmwareBegin();
  for (;;) firmwareTurn();
}
#endif

#endif
