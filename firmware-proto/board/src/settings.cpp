#include "settings.h"

#include <string.h>

#include "line.h"
#include "processor.h"

static const uint8_t firstSlot = 1, secondSlot = 2;

// Bytes of a record: layout, sequence (low, high), rate, light, both orientations, CRC (low, high).
static const uint8_t layout = 1;
static const uint8_t recordBytes = 5 + 2 * axesLength + 2;
static_assert(recordBytes <= storageBytes, "a record must fit in a slot");

static uint16_t crcOfRecord(const uint8_t *record) {
  uint16_t crc = crcStart;
  for (uint8_t i = 0; i < recordBytes - 2; i++) crc = crcOf(crc, record[i]);
  return crc;
}

static uint16_t sequenceOf(const uint8_t *record) { return record[1] | (uint16_t)record[2] << 8; }

static void encode(const Settings &settings, uint16_t sequence, uint8_t *record) {
  record[0] = layout;
  record[1] = (uint8_t)sequence;
  record[2] = (uint8_t)(sequence >> 8);
  record[3] = settings.rateHz;
  record[4] = settings.light;
  memcpy(record + 5, settings.accelerometerAxes, axesLength);
  memcpy(record + 5 + axesLength, settings.magnetometerAxes, axesLength);
  uint16_t crc = crcOfRecord(record);
  record[recordBytes - 2] = (uint8_t)crc;
  record[recordBytes - 1] = (uint8_t)(crc >> 8);
}

static bool decode(const uint8_t *record, Settings &settings) {
  if (record[0] != layout) return false;
  if ((record[recordBytes - 2] | (uint16_t)record[recordBytes - 1] << 8) != crcOfRecord(record)) return false;
  Settings found;
  found.rateHz = record[3];
  found.light = record[4];
  memcpy(found.accelerometerAxes, record + 5, axesLength);
  memcpy(found.magnetometerAxes, record + 5 + axesLength, axesLength);
  if (!isRate(found.rateHz) || !areProperAxes(found.accelerometerAxes) || !areProperAxes(found.magnetometerAxes))
    return false;
  settings = found;
  return true;
}

void SettingsStore::load(Settings &settings) {
  newest_ = 0;
  for (uint8_t slot = firstSlot; slot <= secondSlot; slot++) {
    uint8_t record[recordBytes];
    storageRead(slot, record, recordBytes);
    uint16_t sequence = sequenceOf(record);
    bool isOlder = newest_ != 0 && (int16_t)(sequence - sequence_) < 0;
    if (isOlder || !decode(record, settings)) continue;
    newest_ = slot;
    sequence_ = sequence;
  }
}

bool SettingsStore::keep(const Settings &settings) {
  uint8_t record[recordBytes], readBack[recordBytes];
  if (newest_ != 0) {
    encode(settings, sequence_, record);
    storageRead(newest_, readBack, recordBytes);
    if (memcmp(record, readBack, recordBytes) == 0) return true;  // kept already
  }
  uint8_t slot = newest_ == firstSlot ? secondSlot : firstSlot;
  encode(settings, sequence_ + 1, record);
  storageWrite(slot, record, recordBytes);
  storageRead(slot, readBack, recordBytes);
  if (memcmp(record, readBack, recordBytes) != 0) return false;
  newest_ = slot;
  sequence_++;
  return true;
}
