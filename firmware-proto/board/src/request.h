// Requests of the host (WIRE.md): bytes in, requests out. Portable.
#pragma once
#include <stdint.h>

enum class Request : uint8_t { none, hello, rate, badRate, selftest };

class RequestReader {
 public:
  // Takes one received byte; `none` until a line that is a request has ended.
  Request feed(char c);
  // Samples a second, after Request::rate.
  uint8_t rateHz() const { return rateHz_; }

 private:
  Request parse();

  static const uint8_t capacity = 32;
  char line_[capacity + 1];
  uint8_t length_ = 0;
  bool overLong_ = false;
  uint8_t rateHz_ = 0;
};
