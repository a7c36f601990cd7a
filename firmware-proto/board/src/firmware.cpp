// The loop never waits: an instant of the clock starts a reading, and everything else - requests, greetings, events - has its
// turn in what is left of the ten milliseconds after it. Between turns the processor sleeps.
#include "firmware.h"

#include "events.h"
#include "line.h"
#include "number.h"
#include "processor.h"
#include "queue.h"
#include "request.h"
#include "selftest.h"
#include "sensors.h"
#include "version.h"

// How the chips sit on the board: README.md, "The axes of the board".
static const char *const accelerometerOrientation = "+X+Y+Z";
static const char *const magnetometerOrientation = "+X+Y+Z";

static Line line;
static Queue output;
static Events events;
static RequestReader requests;
static Sensors sensors(events);
static SelfTest selfTest;

static uint32_t number;
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
  const Part &accelerometer = sensors.accelerometer, &magnetometer = sensors.magnetometer;
  line.begin('H');
  pair("proto=", "1");
  pair("fw=", firmwareVersion);
  pair("board=", number, 8);
  pair("acc=", accelerometer.chip.name);
  pair("accid=", accelerometer.id, 2);
  pair("accdir=", accelerometerOrientation);
  pair("accg=", accelerometer.chip.perCount);
  pair("mag=", magnetometer.chip.name);
  pair("magid=", magnetometer.id, 2);
  pair("magdir=", magnetometerOrientation);
  pair("magnt=", magnetometer.chip.perCount);
  if (accelerometer.hasGyro()) {
    pair("gyr=", accelerometer.chip.name);
    pair("gyrid=", accelerometer.id, 2);
    pair("gyrdir=", accelerometerOrientation);
    pair("gyrdps=", accelerometer.chip.dpsPerCount);
  }
  const Part &warm = accelerometer.hasThermometer() ? accelerometer : magnetometer;
  pair("tempc=", warm.hasThermometer() ? warm.chip.celsiusPerCount : "0");
  pair("tempat=", warm.hasThermometer() ? warm.chip.celsiusAtZero : "20");
  line.text("hz=");
  line.moreNatural(instantsPerSecond / instantsPerSample);
  send();
}

static void integers(const int16_t *values) {
  for (uint8_t i = 0; i < 3; i++) line.integer(values[i]);
}

static void sendSample(uint32_t micros, const Reading &reading) {
  bool hasGyro = sensors.accelerometer.hasGyro();
  line.begin(hasGyro ? 'G' : 'S');
  line.natural(sequence);
  line.natural(micros);
  integers(reading.accel);
  integers(reading.field);
  if (hasGyro) integers(reading.rate);
  line.integer(reading.temperature);
  send();
}

static void sendAnswer(char kind, const char *text) {
  line.begin(kind);
  line.text(text);
  send();
}

static void runSelfTest(bool measured, const Reading &reading) {
  switch (measured ? selfTest.feed(reading) : selfTest.missed()) {
    case SelfTest::Step::push:
      sensors.configure(true);
      break;
    case SelfTest::Step::relax:
      sensors.configure(false);
      break;
    case SelfTest::Step::done:
      sensors.start();
      selfTestRow = 0;
      break;
    default:
      break;
  }
}

static void atInstant() {
  static uint8_t untilSample;
  uint32_t micros = clockMicros();
  Reading reading = {};
  bool measured = sensors.measure(reading);
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
  if (selfTest.report(line, selfTestRow, sensors)) send();
  if (++selfTestRow == SelfTest::rows) sendAnswer('A', "selftest");
}

// What is done in the rest of the time after a reading: at most one of these an instant.
static void betweenInstants() {
  static uint8_t ofSecond;
  if (++ofSecond >= instantsPerSecond) ofSecond = 0;

  if (selfTestRow < SelfTest::rows) {
    sendSelfTestRow();
  } else if ((ofSecond == 0 && greeting) || sensors.changed()) {
    sendHello();
  } else if (ofSecond % 10 == 5 && events.report(line, ofSecond / 10)) {
    send();
  } else {
    Request request = Request::none;
    for (int16_t byte; request == Request::none && (byte = serialRead()) >= 0;) request = requests.feed((char)byte);
    answer(request);
  }
}

// In batches, and an instant of the clock comes first.
static void pumpOutput() {
  if (output.empty() || !serialWantsMore()) return;
  while (!output.empty() && serialRoom() > 0 && !clockInstantPending()) serialWrite(output.pop());
}

void firmwareBegin() {
  RestartCause cause = processorBegin();
  if (cause == RestartCause::watchdog) events.note(Event::watchdog);
  if (cause == RestartCause::brownout) events.note(Event::brownout);
  number = boardNumber();
  busBegin();
  sensors.start();
  sensors.changed();
  clockBegin();
  watchdogBegin();
  sendHello();
}

void firmwareTurn() {
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
