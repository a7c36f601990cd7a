// The few names of an Arduino core that the board's program uses, for compilers whose core Debian does not have.
#pragma once
#include <stddef.h>
#include <stdint.h>

#define HIGH 1
#define LOW 0
#define INPUT_PULLUP 2
#define OUTPUT 1
#define LED_BUILTIN 13

static const uint8_t SDA = 4, SCL = 5, A0 = 0;

extern "C" {
uint32_t micros();
void yield();
void pinMode(uint8_t pin, uint8_t mode);
int digitalRead(uint8_t pin);
void digitalWrite(uint8_t pin, uint8_t level);
int analogRead(uint8_t pin);
void delayMicroseconds(unsigned int micros);
}

struct SerialStub {
  void begin(unsigned long baud);
  int available();
  int availableForWrite();
  int read();
  size_t write(uint8_t byte);
};
extern SerialStub Serial;
