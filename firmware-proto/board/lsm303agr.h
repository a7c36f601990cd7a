// The LSM303AGR, accelerometer and magnetometer in one package.
#pragma once
#include <stdint.h>

namespace lsm303agr {

// What the hello line says of the chips.
extern const char *const name;
extern const char *const gPerCount;          // 12 bit, +-2 g
extern const char *const ntPerCount;         // 1.5 mG
extern const char *const celsiusPerCount;    // 1/256: OUT_TEMP is left-justified
extern const char *const celsiusAtZero;

const uint8_t accelerometerId = 0x33;
const uint8_t magnetometerId = 0x40;

struct Reading {
  int16_t accel[3];  // counts, right-handed axes (see readSample)
  int16_t field[3];
  int16_t temperature;
  bool accelFresh;  // new since the last reading
  bool fieldFresh;
};

// The identity registers as read, 0 when the chip does not answer.
uint8_t readAccelerometerId();
uint8_t readMagnetometerId();
// Settings for sampling; with selfTest the chips push their own sensors. False when a chip did not answer.
bool configure(bool selfTest);
bool readSample(Reading &reading);

}  // namespace lsm303agr
