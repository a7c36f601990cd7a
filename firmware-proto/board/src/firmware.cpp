// The loop never waits: an instant of the clock starts a reading, and everything else - requests, greetings, events - has its
// turn in what is left of the ten milliseconds after it. Between turns the processor sleeps.
#include "firmware.h"

#include <string.h>

#include "events.h"
#include "light.h"
#include "line.h"
#include "number.h"
#include "processor.h"
#include "queue.h"
#include "request.h"
#include "selftest.h"
#include "sensors.h"
#include "settings.h"
#include "version.h"

static const uint8_t blinkSeconds = 5;

static Line line;
static Queue output;
static Events events;
static RequestReader requests;
static Sensors sensors(events);
static SelfTest selfTest;
static SettingsStore store;
static Settings settings;

static uint32_t number;
static uint16_t sequence;
static bool greeting = true;  // until the host's first request
static bool helloDue;      // besides
static bool particularsDue;
static Request request = Request::none;  // waits for its answer
static uint8_t selfTestRow = SelfTest::rows;
static uint32_t instant;
static uint32_t blinkUntil;
static uint8_t withoutReading;  // instants, held at the end of its range

static void send() { output.push(line.bytes(), line.seal()); }

static void pair(const FlashText *key, const char *value) {
  line.text(key);
  line.more(value);
}

static void pair(const FlashText *key, uint32_t value, uint8_t width) {
  line.text(key);
  line.moreHexadecimal(value, width);
}

static void sendHello() {
  const Part &accelerometer = sensors.accelerometer, &magnetometer = sensors.magnetometer;
  line.begin('H');
  pair(FLASH_TEXT("proto="), "1");
  pair(FLASH_TEXT("fw="), LODEPOLE_VERSION);
  pair(FLASH_TEXT("board="), number, 8);
  pair(FLASH_TEXT("acc="), accelerometer.chip.name);
  pair(FLASH_TEXT("accid="), accelerometer.id, 2);
  pair(FLASH_TEXT("accdir="), settings.accelerometerAxes);
  pair(FLASH_TEXT("accg="), accelerometer.chip.perCount);
  pair(FLASH_TEXT("mag="), magnetometer.chip.name);
  pair(FLASH_TEXT("magid="), magnetometer.id, 2);
  pair(FLASH_TEXT("magdir="), settings.magnetometerAxes);
  pair(FLASH_TEXT("magnt="), magnetometer.chip.perCount);
  if (accelerometer.hasGyro()) {
    pair(FLASH_TEXT("gyr="), accelerometer.chip.name);
    pair(FLASH_TEXT("gyrid="), accelerometer.id, 2);
    pair(FLASH_TEXT("gyrdir="), settings.accelerometerAxes);
    pair(FLASH_TEXT("gyrdps="), accelerometer.chip.dpsPerCount);
  }
  const Part &warm = accelerometer.hasThermometer() ? accelerometer : magnetometer;
  pair(FLASH_TEXT("tempc="), warm.hasThermometer() ? warm.chip.celsiusPerCount : "0");
  pair(FLASH_TEXT("tempat="), warm.hasThermometer() ? warm.chip.celsiusAtZero : "20");
  line.text(FLASH_TEXT("hz="));
  line.moreNatural(settings.rateHz);
  send();
  particularsDue = true;
}

static void sendParticulars() {
  line.begin('P');
  pair(FLASH_TEXT("cpu="), processorName);
  pair(FLASH_TEXT("light="), settings.light ? "on" : "off");
  pair(FLASH_TEXT("kept="), store.hasRecord() ? "yes" : "no");
  pair(FLASH_TEXT("accat="), sensors.accelerometer.address, 2);
  pair(FLASH_TEXT("magat="), sensors.magnetometer.address, 2);
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

static void sendAnswer(char kind, const FlashText *text) {
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
  withoutReading = measured ? 0 : withoutReading + (withoutReading < 255);
  if (selfTest.running()) {
    runSelfTest(measured, reading);
    return;
  }
  if (untilSample > 0) untilSample--;
  if (untilSample > 0 || selfTestRow < SelfTest::rows) return;
  untilSample = instantsPerSecond / settings.rateHz;
  if (measured) sendSample(micros, reading);
  sequence++;  // also without a reading, so that the host sees the gap
}

static void setAxes(char *axes, const FlashText *name) {
  memcpy(axes, requests.axes(), axesLength);
  helloDue = true;
  sendAnswer('A', name);
}

static void keepSettings() {
  watchdogFeed();
  bool isKept = store.keep(settings);
  uint8_t missed;
  clockInstant(missed);  // writing takes its time, and that is no fault
  sendAnswer(isKept ? 'A' : 'N', isKept ? FLASH_TEXT("keep") : FLASH_TEXT("keep storage"));
}

static void answer(Request asked) {
  if (asked == Request::none) return;
  greeting = false;
  switch (asked) {
    case Request::hello:
      sendHello();
      break;
    case Request::rate:
      settings.rateHz = requests.rateHz();
      sendAnswer('A', FLASH_TEXT("rate"));
      break;
    case Request::selftest:
      if (!selfTest.running()) selfTest.begin();
      break;
    case Request::accelerometerAxes:
      setAxes(settings.accelerometerAxes, FLASH_TEXT("accdir"));
      break;
    case Request::magnetometerAxes:
      setAxes(settings.magnetometerAxes, FLASH_TEXT("magdir"));
      break;
    case Request::light:
      settings.light = requests.isOn();
      sendAnswer('A', FLASH_TEXT("light"));
      break;
    case Request::blink:
      blinkUntil = instant + blinkSeconds * instantsPerSecond;
      sendAnswer('A', FLASH_TEXT("blink"));
      break;
    case Request::keep:
      keepSettings();
      break;
    case Request::badRate:
      sendAnswer('N', FLASH_TEXT("rate range"));
      break;
    case Request::badAccelerometerAxes:
      sendAnswer('N', FLASH_TEXT("accdir axes"));
      break;
    case Request::badMagnetometerAxes:
      sendAnswer('N', FLASH_TEXT("magdir axes"));
      break;
    case Request::none:
      break;
  }
}

static void sendSelfTestRow() {
  if (selfTest.report(line, selfTestRow, sensors)) send();
  if (++selfTestRow == SelfTest::rows) sendAnswer('A', FLASH_TEXT("selftest"));
}

// What is done in the rest of the time after a reading: at most one of these an instant.
static void betweenInstants() {
  static uint8_t ofSecond;
  if (++ofSecond >= instantsPerSecond) ofSecond = 0;

  if (selfTestRow < SelfTest::rows) {
    sendSelfTestRow();
  } else if ((ofSecond == 0 && greeting) || helloDue || sensors.changed()) {
    helloDue = false;
    sendHello();
  } else if (particularsDue) {
    particularsDue = false;
    sendParticulars();
  } else if (ofSecond % 10 == 5 && events.report(line, ofSecond / 10)) {
    send();
  } else {
    answer(request);
    request = Request::none;
  }
}

static void showLight() {
  LightState state = blinkUntil > instant   ? LightState::blinking
                     : withoutReading > 100 ? LightState::trouble
                     : greeting             ? LightState::looking
                                            : LightState::streaming;
  lightSet((settings.light || state == LightState::blinking) && lightIsOn(state, instant));
}

static void takeInput() {
  for (int16_t byte; request == Request::none && (byte = serialRead()) >= 0;) request = requests.feed((char)byte);
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
  store.load(settings);
  busBegin();
  sensors.start();
  sensors.changed();
  clockBegin();
  watchdogBegin();
  sendHello();
}

void firmwareTurn() {
  uint8_t missed;
  takeInput();
  if (clockInstant(missed)) {
    watchdogFeed();
    if (missed > 0) events.note(Event::late, missed);
    instant++;
    atInstant();
    betweenInstants();
    showLight();
  }
  pumpOutput();
  sleepUntilInterrupt();
}
