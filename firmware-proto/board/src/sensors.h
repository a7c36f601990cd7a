// The accelerometer and the magnetometer on the bus, whichever they are, with everything that can be wrong with them. Portable.
#pragma once
#include "chip.h"
#include "events.h"

// A part as it was found.
struct Part {
  Chip chip;  // named "none" until one was found
  uint8_t address;
  uint8_t id;  // as read last; 0 when nothing answers. Another one than the chip's belongs to a stranger at this address.

  bool answers() const { return id != 0 && id == chip.id; }
  bool hasGyro() const { return chip.dpsPerCount[0] != '\0'; }
  bool hasThermometer() const { return chip.celsiusPerCount[0] != '\0'; }
};

class Sensors {
 public:
  Part accelerometer, magnetometer;

  explicit Sensors(Events &events) : events_(events) {}

  // Looks for both parts and sets them up.
  void start();
  // With `push` both push their own sensors.
  void configure(bool push);
  // One reading. False: no reading this time; what is wrong is noted and put right as far as it goes.
  bool measure(Reading &reading);
  // True once after a part turned out to be another chip than before.
  bool changed();

 private:
  bool read(Reading &reading) const;

  Events &events_;
  uint8_t untilRetry_ = 0, accelStale_ = 0, fieldStale_ = 0;
  bool accelMeasured_ = false, fieldMeasured_ = false;  // since the last start
  bool changed_ = false;
};
