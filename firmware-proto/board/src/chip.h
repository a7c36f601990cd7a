// What a driver of a sensor chip must do. A driver is one file in chips/ that defines one `Chip` for each part it serves and
// is named in chipTable.cpp; any magnetometer pairs with any accelerometer. A package with two dies has two parts.
//
// - `read` gives raw counts along right-handed axes: where a chip's own are left-handed, it turns the sign of y. A gyro and an
//   accelerometer in one package, and both dies of one package, share one set of axes.
// - Everything goes over busRead and busWrite (processor.h), which wait for a bounded time. No driver waits by itself.
// - `configure` sets everything that matters, whatever the chip was set to before, for at least 100 samples a second.
// - Numbers of the hello are text, so that no floating point is needed; longest lengths as declared here.
#pragma once
#include <stdint.h>

#include "flash.h"
#include "processor.h"

// One reading of both parts. Each fills what it measures and leaves the rest alone.
struct Reading {
  int16_t accel[3];
  int16_t field[3];
  int16_t rate[3];
  int16_t temperature;
  bool accelFresh;  // measured since the last reading
  bool fieldFresh;
};

struct Chip {
  char name[12];
  uint8_t addresses[4];  // on the bus, tried in this order up to a 0
  uint8_t idRegister;    // with the auto-increment bit where the chip has one
  uint8_t id;
  // Asked before the identity is read, where that alone does not tell the chip from its relatives; else null.
  bool (*confirm)(uint8_t address);
  // `push`: the chip pushes its own sensor, for the self-test, and a reading tells the push on top of what was read before it, also
  // where the chip tells the push alone. False when the chip did not answer.
  bool (*configure)(uint8_t address, bool push);
  // False when the chip did not answer. Called at every instant.
  bool (*read)(uint8_t address, Reading &reading);
  char perCount[12];         // g, or nT
  char dpsPerCount[12];      // degrees per second; "" without a gyro
  char celsiusPerCount[12];  // "" without a thermometer
  char celsiusAtZero[6];
  // By how many counts a push moves each axis on a sound chip, whatever the sign; 0 and 0 when it cannot push. z apart where it differs;
  // `pushIsTurn`: the push turns the field itself, so that only the axis that moves most tells.
  int16_t pushLow, pushHigh;
  int16_t pushLowZ, pushHighZ;
  int16_t ratePushLow = 0, ratePushHigh = 0;  // of the gyro
};
const int16_t pushIsTurn = -1;  // in the place of pushLowZ

// The tables, each ended by a null; the entries and what they point to are in flash. Entries have C linkage, so that build.mjs can
// compile all drivers as one unit, in a namespace each.
extern const Chip *const accelerometers[];
extern const Chip *const magnetometers[];

// For drivers.
struct Setting {
  uint8_t address, value;
};
// Writes settings that lie in flash, in order; false with the first that is not acknowledged.
bool busWriteAll(uint8_t chip, const Setting *settings, uint8_t count);
// Whether this register of a chip, of the same package or another, reads so.
bool registerIs(uint8_t chip, uint8_t address, uint8_t value);
inline int16_t littleEndian(const uint8_t *bytes) { return (int16_t)(bytes[0] | ((uint16_t)bytes[1] << 8)); }
inline int16_t bigEndian(const uint8_t *bytes) { return (int16_t)(((uint16_t)bytes[0] << 8) | bytes[1]); }
inline int16_t within16(int32_t value) { return value > INT16_MAX ? INT16_MAX : value < INT16_MIN ? INT16_MIN : (int16_t)value; }
// A magnetometer with its status apart from its data: bit `ready` is new data; six bytes in the order and the places of its values.
bool readField(uint8_t chip, uint8_t status, uint8_t ready, uint8_t data, void (*three)(const uint8_t *, int16_t *), Reading &reading);
// x, z, y: high byte, low byte; of the HMC5883L and what descends from it.
void xzyBigEndian(const uint8_t *bytes, int16_t *values);
// For chips that tell their push alone: puts it on top of what was read `before`, which is noted while nothing is pushed.
void onTopOf(int16_t *before, int16_t *values, bool isPushed);
// Three pairs of bytes.
void threeLittleEndian(const uint8_t *bytes, int16_t *values);
void threeBigEndian(const uint8_t *bytes, int16_t *values);
// -32768 has no opposite among 16 bits.
inline int16_t opposite(int16_t value) { return value == INT16_MIN ? INT16_MAX : (int16_t)-value; }
