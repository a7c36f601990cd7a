#include "identity.h"

#include <avr/boot.h>
#include <avr/eeprom.h>
#include <avr/io.h>

#include "line.h"

// At the very end of the EEPROM, out of the way of anything else.
struct Stored {
  uint32_t id;
  uint16_t crc;
};
static uint8_t *const place = (uint8_t *)(E2END + 1 - sizeof(Stored));

static uint16_t crcOf(uint32_t id) {
  uint16_t crc = crcStart;
  for (uint8_t shift = 0; shift < 32; shift += 8) crc = crcOf(crc, (uint8_t)(id >> shift));
  return crc;
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
static uint32_t newId() {
  uint32_t hash = 2166136261UL;
  for (uint8_t address = 0x0E; address <= 0x17; address++) hash = mix(hash, boot_signature_byte_get(address));
  for (uint8_t i = 0; i < 128; i++) hash = mix(hash, noise(i & 3));
  ADCSRA = 0;
  return hash;
}

uint32_t boardId() {
  Stored stored;
  eeprom_read_block(&stored, place, sizeof stored);
  if (stored.crc == crcOf(stored.id)) return stored.id;
  stored.id = newId();
  stored.crc = crcOf(stored.id);
  eeprom_update_block(&stored, place, sizeof stored);
  return stored.id;
}
