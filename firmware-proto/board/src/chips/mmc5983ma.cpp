// The magnetometer MMC5983MA, set and reset by turns: the bridge's own offset, which heat moves, drops out of the difference.
// Registers and scale: MEMSIC MMC5983MA datasheet, revision A, "Register map" and "Using SET and RESET to remove bridge offset".
// Checked against the public drivers of ArduPilot (AP_Compass_MMC5xx3: big-endian, zero at 32768, 4096 counts per gauss, a pause
// between SET or RESET and the measurement) and PX4 (mmc5983ma). Both turn all three signs, so that the chip counts along
// left-handed axes. Self-test: the bridge is set each time and never reset, so that the field drops out of the difference; where
// the pulses do nothing it never was in it. 6 to 100 uT on the axis that sees most: the Earth's field has 22 to 67 (WMM2025).
#include "../chip.h"

namespace {

const uint8_t xOut0 = 0x00, status = 0x08, internalControl0 = 0x09, internalControl1 = 0x0A, internalControl2 = 0x0B,
              internalControl3 = 0x0C, productId = 0x2F;
const uint8_t TM_M = 0x01, SET = 0x08, RESET = 0x10, Meas_M_Done = 0x01;

const Setting settings[] IN_FLASH = {
    {internalControl1, 0x00},  // BW 100 Hz, 8 ms for a measurement; three axes
    {internalControl2, 0x00},  // not by itself
    {internalControl3, 0x00},
};

bool isMeasuring, isReset, hasOpposite, isPushed;
int16_t before[3], difference[3];

bool turn(uint8_t address, bool reset) {
  isReset = reset;
  isMeasuring = false;
  return busWrite(address, internalControl0, reset ? RESET : SET);
}

bool configure(uint8_t address, bool push) {
  isPushed = push;
  hasOpposite = false;
  return busWriteAll(address, settings, 3) && turn(address, false);
}

// One instant starts a measurement, the next one takes it and turns the bridge round: a new value every 20 ms, of the newest two.
bool read(uint8_t address, Reading &reading) {
  if (!isMeasuring) {
    isMeasuring = true;
    if (!busWrite(address, internalControl0, TM_M)) return false;
  } else {
    uint8_t bytes[6];
    if (!busRead(address, status, bytes, 1)) return false;
    if (bytes[0] & Meas_M_Done) {
      if (!busRead(address, xOut0, bytes, 6)) return false;
      for (uint8_t i = 0; i < 3; i++) {
        int16_t now = (int16_t)((uint16_t)bigEndian(bytes + 2 * i) ^ 0x8000);
        int32_t change = (int32_t)now - before[i];
        difference[i] = within16(isReset ? -change : change);
        before[i] = now;
      }
      difference[1] = opposite(difference[1]);
      reading.fieldFresh = hasOpposite;
      hasOpposite = true;
      if (!turn(address, !isReset && !isPushed)) return false;
    }
  }
  for (uint8_t i = 0; i < 3; i++) reading.field[i] = difference[i];
  return true;
}

}  // namespace

extern "C" const Chip mmc5983ma IN_FLASH = {
    "MMC5983MA", {0x30}, productId, 0x30, nullptr, configure, read,
    "12.2070",  // 4096 per gauss, twice
    "", "", "", 500, 8191, pushIsTurn, 0,
};
