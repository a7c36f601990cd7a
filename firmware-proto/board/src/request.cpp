#include "request.h"

#include <string.h>

#include "settings.h"

Request RequestReader::feed(char c) {
  if (c != '\n') {
    if (length_ < capacity) {
      line_[length_++] = c;
    } else {
      overLong_ = true;
    }
    return Request::none;
  }
  if (length_ > 0 && line_[length_ - 1] == '\r') length_--;
  line_[length_] = '\0';
  Request request = overLong_ ? Request::none : parse();
  length_ = 0;
  overLong_ = false;
  return request;
}

Request RequestReader::parse() {
  if (strlen(line_) != length_) return Request::none;  // a zero byte inside
  if (strcmp(line_, "hello") == 0) return Request::hello;
  if (strcmp(line_, "selftest") == 0) return Request::selftest;
  if (strcmp(line_, "blink") == 0) return Request::blink;
  if (strcmp(line_, "keep") == 0) return Request::keep;
  isOn_ = strcmp(line_, "light on") == 0;
  if (isOn_ || strcmp(line_, "light off") == 0) return Request::light;
  if (strncmp(line_, "rate ", 5) == 0) return parseRate(line_ + 5);
  if (length_ != axesAt + axesLength) return Request::none;
  bool isProper = areProperAxes(axes());
  if (strncmp(line_, "accdir ", axesAt) == 0)
    return isProper ? Request::accelerometerAxes : Request::badAccelerometerAxes;
  if (strncmp(line_, "magdir ", axesAt) == 0)
    return isProper ? Request::magnetometerAxes : Request::badMagnetometerAxes;
  return Request::none;
}

Request RequestReader::parseRate(const char *digit) {
  bool negative = *digit == '-';
  if (negative) digit++;
  if (*digit == '\0') return Request::none;
  uint16_t hz = 0;
  for (; *digit; digit++) {
    if (*digit < '0' || *digit > '9') return Request::none;
    if (hz <= 1000) hz = hz * 10 + (uint16_t)(*digit - '0');
  }
  if (negative || !isRate(hz)) return Request::badRate;
  rateHz_ = (uint8_t)hz;
  return Request::rate;
}
