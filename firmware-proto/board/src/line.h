// One line of the wire (WIRE.md): built field by field, sealed with its CRC. Portable: no Arduino, no heap, no floating point.
#pragma once
#include <stdint.h>

#include "flash.h"

// CRC-16/CCITT-FALSE: polynomial 0x1021, not reflected; starts at crcStart.
const uint16_t crcStart = 0xFFFF;
uint16_t crcOf(uint16_t crc, uint8_t byte);

class Line {
 public:
  static const uint8_t capacity = 240;  // line end included

  void begin(char kind);
  // Each of these starts a field: a space, then the value.
  void text(const char *value);
  void text(const FlashText *value);
  void integer(int32_t value);
  void natural(uint32_t value);
  // These go on in the same field.
  void more(const char *value);
  void more(const FlashText *value);
  void moreNatural(uint32_t value);
  void moreHexadecimal(uint32_t value, uint8_t width);
  // Ends the line. Returns its length, 0 when it did not fit.
  uint8_t seal();
  const char *bytes() const { return bytes_; }

 private:
  void put(char c);

  char bytes_[capacity];
  uint8_t length_;
  bool overflow_;
};
