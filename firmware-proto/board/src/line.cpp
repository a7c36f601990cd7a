#include "line.h"

static const uint8_t sealLength = 8;  // " *", four digits, CR, LF

// The division by the polynomial, a byte at a time; the same remainder as bit by bit.
uint16_t crcOf(uint16_t crc, uint8_t byte) {
  uint8_t x = (uint8_t)(crc >> 8) ^ byte;
  x ^= x >> 4;
  return (uint16_t)((crc << 8) ^ ((uint16_t)x << 12) ^ ((uint16_t)x << 5) ^ x);
}

void Line::put(char c) {
  if (length_ < capacity - sealLength) {
    bytes_[length_++] = c;
  } else {
    overflow_ = true;
  }
}

void Line::begin(char kind) {
  length_ = 0;
  overflow_ = false;
  put(kind);
}

void Line::more(const char *value) {
  while (*value) put(*value++);
}

void Line::more(const FlashText *value) {
  const char *at = reinterpret_cast<const char *>(value);
  for (char c;; put(c)) {
    fromFlash(&c, at++, 1);
    if (c == '\0') return;
  }
}

void Line::text(const char *value) {
  put(' ');
  more(value);
}

void Line::text(const FlashText *value) {
  put(' ');
  more(value);
}

// Powers of ten are subtracted, not divided by: a 32-bit division costs some 600 cycles on an 8-bit processor.
void Line::moreNatural(uint32_t value) {
  static const uint32_t high[] = {1000000000UL, 100000000UL, 10000000UL, 1000000UL, 100000UL, 10000UL};
  static const uint16_t low[] = {1000, 100, 10};
  bool started = false;
  for (uint8_t i = value >= 10000UL ? 0 : 6; i < 6; i++) {
    char digit = '0';
    for (; value >= high[i]; value -= high[i]) digit++;
    started = started || digit != '0';
    if (started) put(digit);
  }
  uint16_t rest = (uint16_t)value;
  for (uint8_t i = 0; i < 3; i++) {
    char digit = '0';
    for (; rest >= low[i]; rest -= low[i]) digit++;
    started = started || digit != '0';
    if (started) put(digit);
  }
  put((char)('0' + rest));
}

void Line::natural(uint32_t value) {
  put(' ');
  moreNatural(value);
}

void Line::integer(int32_t value) {
  put(' ');
  if (value < 0) put('-');
  moreNatural(value < 0 ? 0UL - (uint32_t)value : (uint32_t)value);
}

void Line::moreHexadecimal(uint32_t value, uint8_t width) {
  while (width-- > 0) put("0123456789ABCDEF"[(value >> (4 * width)) & 0xF]);
}

uint8_t Line::seal() {
  if (overflow_) return 0;
  uint16_t crc = crcStart;
  for (uint8_t i = 0; i < length_; i++) crc = crcOf(crc, (uint8_t)bytes_[i]);
  bytes_[length_++] = ' ';
  bytes_[length_++] = '*';
  for (uint8_t shift = 16; shift > 0; shift -= 4) bytes_[length_++] = "0123456789ABCDEF"[(crc >> (shift - 4)) & 0xF];
  bytes_[length_++] = '\r';
  bytes_[length_++] = '\n';
  return length_;
}
