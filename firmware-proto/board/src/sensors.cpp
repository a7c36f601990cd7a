#include "sensors.h"

#include <string.h>

static const uint8_t staleLimit = 5;     // instants without a new measurement, until a chip counts as silent
static const uint8_t recoverEvery = 10;  // instants between tries, while bus or chips do not answer

bool busWriteAll(uint8_t chip, const Setting *settings, uint8_t count) {
  for (uint8_t i = 0; i < count; i++) {
    Setting setting;
    fromFlash(&setting, settings + i, sizeof setting);
    if (!busWrite(chip, setting.address, setting.value)) return false;
  }
  return true;
}

bool registerIs(uint8_t chip, uint8_t address, uint8_t value) {
  uint8_t found;
  return busRead(chip, address, &found, 1) && found == value;
}

void threeLittleEndian(const uint8_t *bytes, int16_t *values) {
  for (uint8_t i = 0; i < 3; i++) values[i] = littleEndian(bytes + 2 * i);
}

void xzyBigEndian(const uint8_t *bytes, int16_t *values) {
  values[0] = bigEndian(bytes);
  values[1] = bigEndian(bytes + 4);
  values[2] = bigEndian(bytes + 2);
}

bool readField(uint8_t chip, uint8_t status, uint8_t ready, uint8_t data, void (*three)(const uint8_t *, int16_t *), Reading &reading) {
  uint8_t bytes[6];
  if (!busRead(chip, status, bytes, 1)) return false;
  reading.fieldFresh = bytes[0] & ready;
  if (!busRead(chip, data, bytes, 6)) return false;
  three(bytes, reading.field);
  return true;
}

void onTopOf(int16_t *before, int16_t *values, bool isPushed) {
  for (uint8_t i = 0; i < 3; i++) {
    if (isPushed)
      values[i] = within16((int32_t)values[i] + before[i]);
    else
      before[i] = values[i];
  }
}

void threeBigEndian(const uint8_t *bytes, int16_t *values) {
  for (uint8_t i = 0; i < 3; i++) values[i] = bigEndian(bytes + 2 * i);
}

// What a part is called that never answered: a scale must be told all the same, and this one is sound in g and in nT.
static const Chip none IN_FLASH = {"none", {0}, 0, 0, nullptr, nullptr, nullptr, "0.1", "", "", "", 0, 0, 0, 0};

static uint8_t identityOf(const Chip &chip, uint8_t address) {
  uint8_t id;
  return busRead(address, chip.idRegister, &id, 1) ? id : 0;
}

// The first chip of the table that answers with its identity. Otherwise the part keeps the chip it had, with what answered in
// its place: at its own address if something does, else at the first one.
static bool find(Part &part, const Chip *const *table) {
  if (part.chip.name[0] == '\0') fromFlash(&part.chip, &none, sizeof none);
  uint8_t stranger = 0, strangerAddress = part.address;
  for (;; table++) {
    const Chip *entry;
    fromFlash(&entry, table, sizeof entry);
    if (entry == nullptr) break;
    Chip chip;
    fromFlash(&chip, entry, sizeof chip);
    bool isOther = strcmp(part.chip.name, chip.name) != 0;
    for (uint8_t i = 0; i < sizeof chip.addresses && chip.addresses[i] != 0; i++) {
      uint8_t address = chip.addresses[i];
      bool isConfirmed = chip.confirm == nullptr || chip.confirm(address);
      uint8_t id = identityOf(chip, address);
      if (id == chip.id && isConfirmed) {
        part.chip = chip;
        part.address = address;
        part.id = id;
        return isOther;
      }
      if (id != 0 && (stranger == 0 || !isOther)) {
        stranger = id;
        strangerAddress = address;
      }
    }
  }
  part.id = stranger;
  part.address = strangerAddress;
  return false;
}

void Sensors::start() {
  if (find(accelerometer, accelerometers)) changed_ = true;
  // Some packages let the bus through to their magnetometer only when they are set up.
  if (accelerometer.answers()) accelerometer.chip.configure(accelerometer.address, false);
  if (find(magnetometer, magnetometers)) changed_ = true;
  if (magnetometer.answers()) magnetometer.chip.configure(magnetometer.address, false);
  accelMeasured_ = fieldMeasured_ = false;
}

void Sensors::configure(bool push) {
  if (accelerometer.answers()) accelerometer.chip.configure(accelerometer.address, push);
  if (magnetometer.answers()) magnetometer.chip.configure(magnetometer.address, push);
}

bool Sensors::changed() {
  bool was = changed_;
  changed_ = false;
  return was;
}

bool Sensors::read(Reading &reading) const {
  if (!accelerometer.answers() || !magnetometer.answers()) return false;
  if (!accelerometer.chip.read(accelerometer.address, reading)) return false;
  int16_t temperature = reading.temperature;
  if (!magnetometer.chip.read(magnetometer.address, reading)) return false;
  if (accelerometer.hasThermometer()) reading.temperature = temperature;
  return true;
}

bool Sensors::measure(Reading &reading) {
  if (untilRetry_ > 0) {
    untilRetry_--;
    return false;
  }
  bool answered = !busStuck() && read(reading);
  if (busStuck()) {
    events_.note(Event::busStuck);
    busRecover();
    if (!busStuck()) start();
    untilRetry_ = recoverEvery;
    return false;
  }
  accelStale_ = answered && reading.accelFresh ? 0 : accelStale_ + 1;
  fieldStale_ = answered && reading.fieldFresh ? 0 : fieldStale_ + 1;
  accelMeasured_ = accelMeasured_ || (answered && reading.accelFresh);
  fieldMeasured_ = fieldMeasured_ || (answered && reading.fieldFresh);
  if (answered && accelStale_ <= staleLimit && fieldStale_ <= staleLimit) return accelMeasured_ && fieldMeasured_;
  events_.note(Event::chipSilent);
  accelStale_ = fieldStale_ = 0;
  start();  // a chip that lost its supply for a moment has forgotten its settings
  untilRetry_ = recoverEvery;
  return false;
}
