#pragma once
#include "Arduino.h"

struct WireStub {
  void begin();
  void end();
  void setClock(uint32_t hz);
  void beginTransmission(uint8_t address);
  uint8_t endTransmission(bool stop = true);
  uint8_t requestFrom(uint8_t address, uint8_t length);
  size_t write(uint8_t byte);
  int read();
};
extern WireStub Wire;
