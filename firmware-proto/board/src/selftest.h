// The chips' own self-test: each sensor is pushed by a known amount, and must answer by an amount within the datasheet's limits.
// Procedure: ST's public example lsm303agr_self_test.c (50 samples for the field). A chip that cannot push itself has only its
// identity checked.
// Fed one reading an instant, so that nothing waits. The board must lie still. Portable.
#pragma once
#include <stdint.h>

#include "line.h"
#include "sensors.h"

class SelfTest {
 public:
  enum class Step : uint8_t { idle, measure, push, relax, done };

  bool running() const { return phase_ != Phase::idle; }
  void begin();
  // `push`: configure the chips with the self-test on; `relax`: with it off; `done`: report, once.
  Step feed(const Reading &reading);
  // A chip did not answer: that instant does not count, and after too many the test ends as failed.
  Step missed();

  static const uint8_t rows = 11;
  // Writes row 0 to 10 of the report. False when this chip cannot tell it, and nothing is to be sent.
  bool report(Line &line, uint8_t row, const Sensors &sensors) const;

 private:
  enum class Phase : uint8_t { idle, before, settlePushed, pushed, settleRelaxed };

  Step next(Phase phase, Step step);
  int32_t changeOf(uint8_t axis) const;
  void row(Line &line, const FlashText *name, int32_t value, int32_t low, int32_t high) const;

  static const uint8_t axes = 9;
  static const uint8_t samples = 50;
  static const uint8_t settle = 12;

  Phase phase_ = Phase::idle;
  uint8_t count_ = 0;
  uint8_t missed_ = 0;
  int32_t change_[axes];  // acceleration, field, rate
};
