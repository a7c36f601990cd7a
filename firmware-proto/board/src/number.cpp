#include "number.h"

#include "line.h"
#include "processor.h"

static const uint8_t slot = 0;

// The number and its CRC, low byte first.
static const uint8_t numberBytes = 4, keptBytes = 6;

static uint16_t crcOfNumber(const uint8_t *record) {
  uint16_t crc = crcStart;
  for (uint8_t i = 0; i < numberBytes; i++) crc = crcOf(crc, record[i]);
  return crc;
}

uint32_t boardNumber() {
  uint8_t record[keptBytes];
  storageRead(slot, record, keptBytes);
  if ((record[4] | (uint16_t)record[5] << 8) != crcOfNumber(record)) {
    uint32_t made = processorNumber();
    for (uint8_t i = 0; i < numberBytes; i++) record[i] = (uint8_t)(made >> (8 * i));
    uint16_t crc = crcOfNumber(record);
    record[4] = (uint8_t)crc;
    record[5] = (uint8_t)(crc >> 8);
    storageWrite(slot, record, keptBytes);
  }
  uint32_t number = 0;
  for (uint8_t i = numberBytes; i-- > 0;) number = number << 8 | record[i];
  return number;
}
