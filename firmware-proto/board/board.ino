// Lodepole's board: samples an accelerometer and a magnetometer a hundred times a second and says so in lines (../WIRE.md).
//
// The loop never waits: an instant of the clock starts a reading, and everything else - requests, greetings, events - has its
// turn in what is left of the ten milliseconds after it. Between turns the processor sleeps.
#include <Arduino.h>
#include <avr/sleep.h>

#include "bus.h"
#include "clock.h"
#include "events.h"
#include "identity.h"
#include "line.h"
#include "lsm303agr.h"
#include "queue.h"
#include "request.h"
#include "restart.h"
#include "selftest.h"

static const char *const firmwareVersion = "0.1.0";
// How the chips sit on the board: README.md, "The axes of the board".
static const char *const accelerometerOrientation = "+X+Y+Z";
static const char *const magnetometerOrientation = "+X+Y+Z";

static const uint8_t staleLimit = 5;      // instants without a new measurement, until a chip counts as silent
static const uint8_t recoverEvery = 10;   // instants between tries, while bus or chips do not answer

static Line line;
static Queue output;
static Events events;
static RequestReader requests;
static SelfTest selfTest;

static uint32_t id;
static uint8_t accelerometerId, magnetometerId;
static uint16_t sequence;
static uint8_t instantsPerSample = 1;
static bool greeting = true;  // until the host's first request
static uint8_t selfTestRow = SelfTest::rows;

static void send() { output.push(line.bytes(), line.seal()); }

static void pair(const char *key, const char *value) {
  line.text(key);
  line.more(value);
}

static void pair(const char *key, uint32_t value, uint8_t width) {
  line.text(key);
  line.moreHexadecimal(value, width);
}

static void sendHello() {
  line.begin('H');
  pair("proto=", "1");
  pair("fw=", firmwareVersion);
  pair("board=", id, 8);
  pair("acc=", lsm303agr::name);
  pair("accid=", accelerometerId, 2);
  pair("accdir=", accelerometerOrientation);
  pair("accg=", lsm303agr::gPerCount);
  pair("mag=", lsm303agr::name);
  pair("magid=", magnetometerId, 2);
  pair("magdir=", magnetometerOrientation);
  pair("magnt=", lsm303agr::ntPerCount);
  pair("tempc=", lsm303agr::celsiusPerCount);
  pair("tempat=", lsm303agr::celsiusAtZero);
  line.text("hz=");
  line.moreNatural(instantsPerSecond / instantsPerSample);
  send();
}

static void sendSample(uint32_t micros, const lsm303agr::Reading &reading) {
  line.begin('S');
  line.natural(sequence);
  line.natural(micros);
  for (uint8_t i = 0; i < 3; i++) line.integer(reading.accel[i]);
  for (uint8_t i = 0; i < 3; i++) line.integer(reading.field[i]);
  line.integer(reading.temperature);
  send();
}

static void sendAnswer(char kind, const char *text) {
  line.begin(kind);
  line.text(text);
  send();
}

static void startChips() {
  accelerometerId = lsm303agr::readAccelerometerId();
  magnetometerId = lsm303agr::readMagnetometerId();
  lsm303agr::configure(false);
}

// One reading, with everything that can be wrong with it. False: no reading this time.
static bool measure(lsm303agr::Reading &reading) {
  static uint8_t untilRetry, accelStale, fieldStale;
  if (untilRetry > 0) {
    untilRetry--;
    return false;
  }
  bool answered = !busStuck() && lsm303agr::readSample(reading);
  if (busStuck()) {
    events.note(Event::busStuck);
    busRecover();
    if (!busStuck()) startChips();
    untilRetry = recoverEvery;
    return false;
  }
  accelStale = answered && reading.accelFresh ? 0 : accelStale + 1;
  fieldStale = answered && reading.fieldFresh ? 0 : fieldStale + 1;
  if (!answered || accelStale > staleLimit || fieldStale > staleLimit) {
    events.note(Event::chipSilent);
    accelStale = fieldStale = 0;
    startChips();  // a chip that lost its supply for a moment has forgotten its settings
    untilRetry = recoverEvery;
    return false;
  }
  if (accelerometerId == 0 || magnetometerId == 0) startChips();  // a chip that was silent at start-up has come
  return true;
}

static void runSelfTest(bool measured, const lsm303agr::Reading &reading) {
  switch (measured ? selfTest.feed(reading) : selfTest.missed()) {
    case SelfTest::Step::push:
      lsm303agr::configure(true);
      break;
    case SelfTest::Step::relax:
      lsm303agr::configure(false);
      break;
    case SelfTest::Step::done:
      startChips();
      selfTestRow = 0;
      break;
    default:
      break;
  }
}

static void atInstant() {
  static uint8_t untilSample;
  uint32_t micros = clockMicros();
  lsm303agr::Reading reading;
  bool measured = measure(reading);
  if (selfTest.running()) {
    runSelfTest(measured, reading);
    return;
  }
  if (untilSample > 0) untilSample--;
  if (untilSample > 0 || selfTestRow < SelfTest::rows) return;
  untilSample = instantsPerSample;
  if (measured) sendSample(micros, reading);
  sequence++;  // also without a reading, so that the host sees the gap
}

static void answer(Request request) {
  if (request == Request::none) return;
  greeting = false;
  switch (request) {
    case Request::hello:
      sendHello();
      break;
    case Request::rate:
      instantsPerSample = instantsPerSecond / requests.rateHz();
      sendAnswer('A', "rate");
      break;
    case Request::badRate:
      sendAnswer('N', "rate range");
      break;
    case Request::selftest:
      if (!selfTest.running()) selfTest.begin();
      break;
    case Request::none:
      break;
  }
}

static void sendSelfTestRow() {
  selfTest.report(line, selfTestRow, accelerometerId, magnetometerId);
  send();
  if (++selfTestRow == SelfTest::rows) sendAnswer('A', "selftest");
}

// What is done in the rest of the time after a reading: at most one of these an instant.
static void betweenInstants() {
  static uint8_t ofSecond;
  if (++ofSecond >= instantsPerSecond) ofSecond = 0;

  if (selfTestRow < SelfTest::rows) {
    sendSelfTestRow();
  } else if (ofSecond == 0 && greeting) {
    sendHello();
  } else if (ofSecond % 10 == 5 && events.report(line, ofSecond / 10)) {
    send();
  } else {
    Request request = Request::none;
    while (request == Request::none && Serial.available()) request = requests.feed((char)Serial.read());
    answer(request);
  }
}

// In batches: the core's buffer is filled up when half of it has gone out, and an instant of the clock comes first.
static void pumpOutput() {
  if (output.empty() || Serial.availableForWrite() < SERIAL_TX_BUFFER_SIZE / 2) return;
  while (!output.empty() && Serial.availableForWrite() > 0 && !clockInstantPending()) Serial.write(output.pop());
}

static void sleepUntilInterrupt() {
  cli();
  if (!clockInstantPending()) {
    sleep_enable();
    sei();  // takes effect after the next instruction: no interrupt can slip in before the sleep
    sleep_cpu();
    sleep_disable();
  }
  sei();
}

void setup() {
  RestartCause cause = restartCause();
  if (cause == RestartCause::watchdog) events.note(Event::watchdog);
  if (cause == RestartCause::brownout) events.note(Event::brownout);
  set_sleep_mode(SLEEP_MODE_IDLE);
  id = boardId();
  Serial.begin(115200);
  busBegin();
  startChips();
  clockBegin();
  watchdogBegin();
  sendHello();
}

void loop() {
  uint8_t missed;
  if (clockInstant(missed)) {
    watchdogFeed();
    if (missed > 0) events.note(Event::late, missed);
    atInstant();
    betweenInstants();
  }
  pumpOutput();
  sleepUntilInterrupt();
}
