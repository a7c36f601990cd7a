#include "selftest.h"

static const char axisNames[][8] IN_FLASH = {"accel-x", "accel-y", "accel-z", "field-x", "field-y", "field-z", "rate-x", "rate-y", "rate-z"};
static const FlashText *nameOf(uint8_t axis) { return reinterpret_cast<const FlashText *>(axisNames[axis]); }

SelfTest::Step SelfTest::next(Phase phase, Step step) {
  phase_ = phase;
  count_ = 0;
  return step;
}

void SelfTest::begin() {
  for (uint8_t i = 0; i < axes; i++) change_[i] = 0;
  missed_ = 0;
  next(Phase::before, Step::measure);
}

SelfTest::Step SelfTest::feed(const Reading &reading) {
  count_++;
  switch (phase_) {
    case Phase::before:
    case Phase::pushed:
      for (uint8_t i = 0; i < axes; i++) {
        int16_t value = i < 3 ? reading.accel[i] : i < 6 ? reading.field[i - 3] : reading.rate[i - 6];
        change_[i] += phase_ == Phase::pushed ? value : -value;
      }
      if (count_ < samples) return Step::measure;
      return phase_ == Phase::before ? next(Phase::settlePushed, Step::push) : next(Phase::settleRelaxed, Step::relax);
    case Phase::settlePushed:
      return count_ < settle ? Step::measure : next(Phase::pushed, Step::measure);
    case Phase::settleRelaxed:
      return count_ < settle ? Step::measure : next(Phase::idle, Step::done);
    case Phase::idle:
      break;
  }
  return Step::idle;
}

SelfTest::Step SelfTest::missed() {
  if (++missed_ < samples) return Step::measure;
  for (uint8_t i = 0; i < axes; i++) change_[i] = 0;
  return next(Phase::idle, Step::done);
}

void SelfTest::row(Line &line, const FlashText *name, int32_t value, int32_t low, int32_t high) const {
  line.begin('T');
  line.text(name);
  line.text(value >= low && value <= high ? FLASH_TEXT("pass") : FLASH_TEXT("fail"));
  line.integer(value);
  line.integer(low);
  line.integer(high);
}

int32_t SelfTest::changeOf(uint8_t axis) const {
  int32_t change = change_[axis] / samples;
  return change < 0 ? -change : change;
}

bool SelfTest::report(Line &line, uint8_t index, const Sensors &sensors) const {
  bool isField = index == 1 || (index >= 5 && index < 8);
  const Part &part = isField ? sensors.magnetometer : sensors.accelerometer;
  if (index < 2) {
    uint8_t expected = part.chip.id == 0 ? 1 : part.chip.id;
    row(line, isField ? FLASH_TEXT("field-id") : FLASH_TEXT("accel-id"), part.id, expected, expected);
    return true;
  }
  const Chip &chip = part.chip;
  uint8_t axis = index - 2;
  if (axis >= 6) {
    if (chip.ratePushHigh == 0) return false;
    row(line, nameOf(axis), changeOf(axis), chip.ratePushLow, chip.ratePushHigh);
    return true;
  }
  bool isFirst = axis % 3 == 0, isZ = axis % 3 == 2;
  if (chip.pushHigh == 0 || (chip.pushLowZ == pushIsTurn && !isFirst)) return false;
  int32_t change = changeOf(axis);
  if (chip.pushLowZ == pushIsTurn) {
    for (uint8_t other = 1; other < 3; other++)
      if (changeOf(axis + other) > change) change = changeOf(axis + other);
    row(line, FLASH_TEXT("field-turn"), change, chip.pushLow, chip.pushHigh);
    return true;
  }
  bool isApart = isZ && chip.pushHighZ != 0;
  row(line, nameOf(axis), change, isApart ? chip.pushLowZ : chip.pushLow, isApart ? chip.pushHighZ : chip.pushHigh);
  return true;
}
