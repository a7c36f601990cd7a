#pragma once
#include "Arduino.h"

struct EepromStub {
  void begin(size_t size);
  uint8_t read(int address);
  void write(int address, uint8_t value);
  bool commit();
};
extern EepromStub EEPROM;
