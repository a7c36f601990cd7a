// The magnetometer AK09916, in the package of the ICM-20948 behind its bypass, or alone.
// Registers and scale: InvenSense DS-000189 (ICM-20948), sections 12 and 13. Checked against ArduPilot's public driver
// AP_Compass_AK09916. That y and z run against the ICM-20948's: the maker's demonstration gives the chip the mount matrix
// (x, -y, -z), as SparkFun's library SparkFun_ICM-20948_ArduinoLibrary found on its bus (ICM_20948.cpp, CPASS_MTX; issue 59, with the
// datasheet's figure). PX4's ICM20948_AK09916 turns it like an AK8963 instead. Self-test (one measurement of the chip's own field):
// x and y within 200, z 200 to 1000 counts, as in Asahi Kasei's public driver (TLIMIT_..._AK09916).
#include "../chip.h"

namespace {

const uint8_t WIA1 = 0x00, WIA2 = 0x01, ST1 = 0x10, CNTL2 = 0x31;
const uint8_t powerDown = 0x00, continuous4 = 0x08, selfTest = 0x10;  // 100 Hz
const uint8_t DRDY = 0x01;

// The AK8963 has the same maker's number at the same address.
bool confirm(uint8_t address) { return registerIs(address, WIA2, 0x09); }

// Between two modes it wants 100 us in power-down, which the reading takes.
bool isPushed;
int16_t before[3];

bool configure(uint8_t address, bool push) {
  isPushed = push;
  return busWrite(address, CNTL2, powerDown) && confirm(address) && busWrite(address, CNTL2, push ? selfTest : continuous4);
}

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[9];  // ST1, x, y, z: low byte, high byte, one that means nothing, and ST2, whose reading lets the chip go on
  if (!busRead(address, ST1, bytes, 9)) return false;
  reading.fieldFresh = bytes[0] & DRDY;
  threeLittleEndian(bytes + 1, reading.field);
  reading.field[1] = opposite(reading.field[1]);
  reading.field[2] = opposite(reading.field[2]);
  onTopOf(before, reading.field, isPushed);
  return !(isPushed && reading.fieldFresh) || busWrite(address, CNTL2, selfTest);  // one measurement at a time
}

}  // namespace

extern "C" const Chip ak09916 IN_FLASH = {
    "AK09916", {0x0C}, WIA1, 0x48, confirm, configure, read,
    "150",  // 0.15 uT
    "", "", "", 0, 200, 200, 1000,
};
