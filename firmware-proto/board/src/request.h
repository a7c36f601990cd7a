// Requests of the host (WIRE.md): bytes in, requests out. Portable.
#pragma once
#include <stdint.h>

#include "axes.h"

enum class Request : uint8_t {
  none,
  hello,
  rate,
  selftest,
  accelerometerAxes,
  magnetometerAxes,
  light,
  blink,
  keep,
  badRate,
  badAccelerometerAxes,
  badMagnetometerAxes,
};

class RequestReader {
 public:
  // Takes one received byte; `none` until a line that is a request has ended.
  Request feed(char c);
  // Samples a second, after Request::rate.
  uint8_t rateHz() const { return rateHz_; }
  // After Request::accelerometerAxes or magnetometerAxes, until the next byte is fed.
  const char *axes() const { return line_ + axesAt; }
  // After Request::light.
  bool isOn() const { return isOn_; }

 private:
  Request parse();
  Request parseRate(const char *digit);

  static const uint8_t capacity = 32;
  static const uint8_t axesAt = 7;  // behind "accdir " or "magdir "
  char line_[capacity + 1];
  uint8_t length_ = 0;
  bool overLong_ = false;
  uint8_t rateHz_ = 0;
  bool isOn_ = false;
};
