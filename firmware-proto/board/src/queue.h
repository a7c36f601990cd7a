// Whole lines on their way out. A line that does not fit is dropped whole, so that sending never holds up sampling. Portable.
#pragma once
#include <stdint.h>

class Queue {
 public:
  // False when there is no room; nothing is kept then.
  bool push(const char *bytes, uint8_t length) {
    if (length == 0 || (uint16_t)(capacity - used_) < length) return false;
    for (uint8_t i = 0; i < length; i++) {
      bytes_[(uint16_t)(first_ + used_) % capacity] = bytes[i];
      used_++;
    }
    return true;
  }
  bool empty() const { return used_ == 0; }
  char pop() {
    char c = bytes_[first_];
    first_ = (uint16_t)(first_ + 1) % capacity;
    used_--;
    return c;
  }

 private:
  static const uint16_t capacity = 512;  // a power of two, so that the remainder is a mask
  char bytes_[capacity];
  uint16_t first_ = 0;
  uint16_t used_ = 0;
};
