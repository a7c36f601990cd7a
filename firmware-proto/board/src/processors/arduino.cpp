// Any other board, over its Arduino core: Wire, Serial, micros() and, where there is one, EEPROM. Whatever such a core does not
// offer alike everywhere is left out: no watchdog, no cause of a restart, no sleep. The clock is the core's.
#if defined(ARDUINO) && !defined(__AVR_ATmega328P__)

#include "../processor.h"

#include <Arduino.h>
#include <Wire.h>

#if defined(__AVR__) || defined(ESP8266) || defined(ESP32) || defined(LODEPOLE_HAS_EEPROM)
#include <EEPROM.h>
#define LODEPOLE_STORES 1
#endif

const char *const processorName = "arduino";

// --- Restart and watchdog: none.

void watchdogBegin() {}
void watchdogFeed() {}

// --- Clock.

static const uint32_t microsPerInstant = 1000000UL / instantsPerSecond;
static uint32_t nextInstant;

void clockBegin() { nextInstant = micros() + microsPerInstant; }
uint32_t clockMicros() { return micros(); }
bool clockInstantPending() { return (int32_t)(micros() - nextInstant) >= 0; }

bool clockInstant(uint8_t &missed) {
  missed = 0;
  if (!clockInstantPending()) return false;
  nextInstant += microsPerInstant;
  for (; clockInstantPending(); nextInstant += microsPerInstant) {
    if (missed < 255) missed++;
  }
  return true;
}

// A core's own work - its radio, its USB - has its turn here.
void sleepUntilInterrupt() { yield(); }

// --- Two-wire bus, on the core's own pins.

static const uint32_t busHz = 400000;
static const uint32_t longestTransfer = 5000;  // microseconds

static bool outOfTime;

void busBegin() {
  Wire.begin();
  Wire.setClock(busHz);
#ifdef __AVR__
  // Unconditional: the library has it, but not always the macro that would say so, and without it a hung bus hangs the board.
  Wire.setWireTimeout(longestTransfer, true);
#endif
  outOfTime = false;
}

static bool inTime(uint32_t start, bool done) {
  if (micros() - start > longestTransfer) outOfTime = true;
  return done && !outOfTime;
}

bool busWrite(uint8_t chip, uint8_t address, uint8_t value) {
  uint32_t start = micros();
  Wire.beginTransmission(chip);
  Wire.write(address);
  Wire.write(value);
  return inTime(start, Wire.endTransmission() == 0);
}

bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length) {
  uint32_t start = micros();
  Wire.beginTransmission(chip);
  Wire.write(address);
  if (!inTime(start, Wire.endTransmission(false) == 0)) return false;
  if (!inTime(start, Wire.requestFrom(chip, length) == length)) return false;
  for (uint8_t i = 0; i < length; i++) bytes[i] = (uint8_t)Wire.read();
  return true;
}

bool busStuck() { return outOfTime || !digitalRead(SDA) || !digitalRead(SCL); }

void busRecover() {
  Wire.end();
  pinMode(SDA, INPUT_PULLUP);
  for (uint8_t i = 0; i < 9 && !digitalRead(SDA); i++) {
    pinMode(SCL, OUTPUT);
    digitalWrite(SCL, LOW);
    delayMicroseconds(5);
    pinMode(SCL, INPUT_PULLUP);
    delayMicroseconds(5);
  }
  pinMode(SCL, OUTPUT);
  digitalWrite(SCL, LOW);
  pinMode(SDA, OUTPUT);
  digitalWrite(SDA, LOW);
  delayMicroseconds(5);
  pinMode(SCL, INPUT_PULLUP);
  delayMicroseconds(5);
  pinMode(SDA, INPUT_PULLUP);
  busBegin();
}

// --- Serial line.

uint8_t serialRoom() {
  int room = Serial.availableForWrite();
  return room > 255 ? 255 : room < 0 ? 0 : (uint8_t)room;
}
bool serialWantsMore() { return serialRoom() >= 16; }
void serialWrite(char byte) { Serial.write((uint8_t)byte); }
int16_t serialRead() { return Serial.available() > 0 ? (int16_t)Serial.read() : -1; }

// --- Storage: EEPROM, or none; then `keep` is refused.

#ifdef LODEPOLE_STORES

static int placeOf(uint8_t slot, uint8_t at) { return slot * storageBytes + at; }

void storageRead(uint8_t slot, uint8_t *bytes, uint8_t length) {
  for (uint8_t i = 0; i < length; i++) bytes[i] = EEPROM.read(placeOf(slot, i));
}

void storageWrite(uint8_t slot, const uint8_t *bytes, uint8_t length) {
  for (uint8_t i = 0; i < length; i++) EEPROM.write(placeOf(slot, i), bytes[i]);
#ifndef __AVR__
  EEPROM.commit();
#endif
}

static void storageBegin() {
#ifndef __AVR__
  EEPROM.begin(storageSlots * storageBytes);
#endif
}

#else

void storageRead(uint8_t, uint8_t *bytes, uint8_t length) {
  for (uint8_t i = 0; i < length; i++) bytes[i] = 0xFF;
}
void storageWrite(uint8_t, const uint8_t *, uint8_t) {}
static void storageBegin() {}

#endif

// FNV-1a, 32 bit: one step.
static uint32_t mix(uint32_t hash, uint8_t byte) { return (hash ^ byte) * 16777619UL; }

static inline uint32_t mixWord(uint32_t hash, uint32_t word) {
  for (uint8_t shift = 0; shift < 32; shift += 8) hash = mix(hash, (uint8_t)(word >> shift));
  return hash;
}

// The chip's own number where the core gives it or its place is public; otherwise noise, which holds only as long as it is stored.
uint32_t processorNumber() {
  uint32_t hash = 2166136261UL;
#if defined(ESP32)
  uint64_t number = ESP.getEfuseMac();
  hash = mixWord(mixWord(hash, (uint32_t)number), (uint32_t)(number >> 32));
#elif defined(ESP8266)
  hash = mixWord(hash, ESP.getChipId());
#elif defined(__SAMD21G18A__)  // SAM D21 datasheet, "Serial Number"
  hash = mixWord(mixWord(hash, *(volatile uint32_t *)0x0080A00C), *(volatile uint32_t *)0x0080A040);
#elif defined(NRF52840_XXAA)  // nRF52840 Product Specification, FICR, DEVICEID
  hash = mixWord(mixWord(hash, *(volatile uint32_t *)0x10000060), *(volatile uint32_t *)0x10000064);
#else
  for (uint8_t i = 0; i < 128; i++) hash = mix(mix(hash, (uint8_t)analogRead(A0)), (uint8_t)micros());
#endif
  return hash;
}

// --- Light.

void lightSet(bool on) {
#ifdef LED_BUILTIN
  digitalWrite(LED_BUILTIN, on ? HIGH : LOW);
#else
  (void)on;
#endif
}

RestartCause processorBegin() {
#ifdef LED_BUILTIN
  pinMode(LED_BUILTIN, OUTPUT);
#endif
  storageBegin();
  Serial.begin(115200);
  return RestartCause::ordinary;
}

#endif
