// What the host sets and the board keeps. Portable.
#pragma once
#include <stdint.h>

#include "axes.h"

struct Settings {
  char accelerometerAxes[axesLength + 1] = "+X+Y+Z";
  char magnetometerAxes[axesLength + 1] = "+X+Y+Z";
  uint8_t rateHz = 100;
  bool light = true;
};

inline bool isRate(uint16_t hz) { return hz == 10 || hz == 20 || hz == 25 || hz == 50 || hz == 100; }

// Two records, written by turns, each with a sequence number and a CRC: whenever the supply fails, one of them is whole.
class SettingsStore {
 public:
  // The newest whole record; `settings` stays as it is without one.
  void load(Settings &settings);
  // False when the record does not read back as it was written; the one before is still there then.
  bool keep(const Settings &settings);
  // True when a record was loaded or kept.
  bool hasRecord() const { return newest_ != 0; }

 private:
  uint8_t newest_ = 0;  // its slot, 0 when there is none
  uint16_t sequence_ = 0;
};
