// The magnetometer AK8963, in the package of the MPU-9250 behind its bypass, or alone.
// Registers, adjustment and scale: Asahi Kasei AK8963 datasheet MS1356, sections 6.4 and 8.3. Its axes against those of the MPU-9250
// (x and y change places, z is turned): InvenSense PS-MPU-9250A 1.1, section 9.1, as discussed at kriswiner/MPU9250, issue 368.
// Self-test (MS1356, section 6.4.4, from memory; one measurement of the chip's own field): x and y within 200, z 800 to 3200 counts.
#include "../chip.h"

namespace {

const uint8_t WIA = 0x00, ST1 = 0x02, CNTL1 = 0x0A, ASTC = 0x0C, ASAX = 0x10;
const uint8_t powerDown = 0x00, fuseAccess = 0x0F, continuous2 = 0x16,  // 16 bit, 100 Hz
              selfTest = 0x18, SELF = 0x40;
const uint8_t DRDY = 0x01;

uint8_t adjustment[3];
bool isPushed;
int16_t before[3];

// Between two modes it wants 100 us in power-down, which the reading takes.
bool change(uint8_t address, uint8_t mode) {
  uint8_t ignored;
  return busWrite(address, CNTL1, powerDown) && busRead(address, WIA, &ignored, 1) && busWrite(address, CNTL1, mode);
}

bool configure(uint8_t address, bool push) {
  isPushed = push;
  return change(address, fuseAccess) && busRead(address, ASAX, adjustment, 3) && busWrite(address, ASTC, push ? SELF : 0x00) &&
         change(address, push ? selfTest : continuous2);
}

// H ((ASA - 128) 0.5 / 128 + 1), section 8.3.11.
int16_t adjusted(const uint8_t *bytes, uint8_t axis) { return within16((int32_t)littleEndian(bytes) * (128 + adjustment[axis]) / 256); }

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[8];  // ST1, x, y, z: low byte, high byte, and ST2, whose reading lets the chip go on
  if (!busRead(address, ST1, bytes, 8)) return false;
  reading.fieldFresh = bytes[0] & DRDY;
  reading.field[0] = adjusted(bytes + 3, 1);
  reading.field[1] = adjusted(bytes + 1, 0);
  reading.field[2] = opposite(adjusted(bytes + 5, 2));
  onTopOf(before, reading.field, isPushed);
  return !(isPushed && reading.fieldFresh) || busWrite(address, CNTL1, selfTest);  // one measurement at a time
}

}  // namespace

extern "C" const Chip ak8963 IN_FLASH = {
    "AK8963", {0x0C}, WIA, 0x48, nullptr, configure, read,
    "150",  // 0.15 uT
    "", "", "", 0, 200, 800, 3200,
};
