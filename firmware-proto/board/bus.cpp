#include "bus.h"

#include <Arduino.h>
#include <Wire.h>

static const uint32_t clockHz = 400000;
static const uint32_t timeoutMicros = 1000;  // the longest transfer here takes 0.25 ms

void busBegin() {
  Wire.begin();
  Wire.setClock(clockHz);
  // Unconditional: the library has it, but not the macro that would say so, and without it a hung bus hangs the board.
  Wire.setWireTimeout(timeoutMicros, true);
}

bool busWrite(uint8_t chip, uint8_t address, uint8_t value) {
  Wire.beginTransmission(chip);
  Wire.write(address);
  Wire.write(value);
  return Wire.endTransmission() == 0;
}

bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length) {
  Wire.beginTransmission(chip);
  Wire.write(address);
  if (Wire.endTransmission(false) != 0) return false;
  if (Wire.requestFrom(chip, length) != length) return false;
  for (uint8_t i = 0; i < length; i++) bytes[i] = (uint8_t)Wire.read();
  return true;
}

bool busStuck() { return Wire.getWireTimeoutFlag() || !digitalRead(SDA) || !digitalRead(SCL); }

// I2C-bus specification UM10204, 3.1.16 "Bus clear": nine clock pulses free a chip that holds SDA low; then a STOP.
void busRecover() {
  Wire.end();
  pinMode(SDA, INPUT_PULLUP);
  digitalWrite(SCL, LOW);
  for (uint8_t i = 0; i < 9 && !digitalRead(SDA); i++) {
    pinMode(SCL, OUTPUT);
    delayMicroseconds(5);
    pinMode(SCL, INPUT);
    delayMicroseconds(5);
  }
  pinMode(SCL, OUTPUT);
  digitalWrite(SDA, LOW);
  pinMode(SDA, OUTPUT);
  delayMicroseconds(5);
  pinMode(SCL, INPUT_PULLUP);
  delayMicroseconds(5);
  pinMode(SDA, INPUT_PULLUP);
  Wire.clearWireTimeoutFlag();
  busBegin();
}
