// The magnetometer QMC5883P, at another address and with other registers than the QMC5883L.
// Registers, settings and scale: QST QMC5883P datasheet (13-52-19), sections 7 and 9, with the order of its example for normal mode:
// signs, range, and the mode last, which starts it. 3750 counts per gauss at +-8 gauss: Adafruit's public library
// Adafruit_QMC5883P (1000, 2500, 3750, 15000 for 30, 12, 8, 2 gauss). ArduPilot's AP_Compass_QMC5883P takes 3000, the QMC5883L's
// figure, for the same range; it is held to be a slip. Axes as they come in both. Self-test as in QST's own evaluation program (qmc5883p.c,
// qmc5883p_self_test: bit 6 of control 2, then the continuous mode, and the reading 10 ms later; 120 to 1800 counts at +-30
// gauss). The bit is taken to clear itself after a measurement (from memory of the datasheet), so that each is pushed anew.
#include "../chip.h"

namespace {

const uint8_t chipId = 0x00, dataOutputX = 0x01, status = 0x09, control1 = 0x0A, control2 = 0x0B, axisSigns = 0x29;
const uint8_t DRDY = 0x01;

const Setting settings[] IN_FLASH = {
    {control1, 0x00},  // it may run with other settings
    {axisSigns, 0x06},
    {control2, 0x08},  // RNG +-8 gauss, set and reset on
    {control1, 0xCD},  // OSR2 8, OSR1 8, ODR 200 Hz, normal mode
};

const Setting pushing[] IN_FLASH = {{control1, 0x00}, {control2, 0x48}, {control1, 0x03}};

bool isPushed;

bool configure(uint8_t address, bool push) {
  isPushed = push;
  return push ? busWriteAll(address, pushing, 3) : busWriteAll(address, settings, 4);
}

bool read(uint8_t address, Reading &reading) {
  return readField(address, status, DRDY, dataOutputX, threeLittleEndian, reading) &&
         (!(isPushed && reading.fieldFresh) || busWriteAll(address, pushing, 3));
}

}  // namespace

extern "C" const Chip qmc5883p IN_FLASH = {
    "QMC5883P", {0x2C}, chipId, 0x80, nullptr, configure, read,
    "26.6667",  // 3750 per gauss
    "", "", "", 450, 6750, 0, 0,
};
