// The magnetometer QMC5883L, on many modules that are sold as HMC5883L.
// Registers and scales: QST QMC5883L datasheet 1.0, sections 2 and 9. Checked against ArduPilot's public driver
// AP_Compass_QMC5883L (registers, identity, counts per gauss by range; axes as they come are right-handed).
#include "../chip.h"

namespace {

const uint8_t dataOutputX = 0x00, status = 0x06, control1 = 0x09, control2 = 0x0A, setResetPeriod = 0x0B, chipId = 0x0D;
const uint8_t DRDY = 0x01;

const Setting settings[] IN_FLASH = {
    {control2, 0x01},        // no roll-over of the register pointer; INT_ENB: no interrupt
    {setResetPeriod, 0x01},  // as recommended
    {control1, 0x0D},        // OSR 512, RNG +-2 gauss, ODR 200 Hz, continuous
};

bool configure(uint8_t address, bool) { return busWriteAll(address, settings, 3); }

bool read(uint8_t address, Reading &reading) {
  return readField(address, status, DRDY, dataOutputX, threeLittleEndian, reading);
}

}  // namespace

extern "C" const Chip qmc5883l IN_FLASH = {
    "QMC5883L", {0x0D}, chipId, 0xFF, nullptr, configure, read,
    "8.33333",  // 12000 per gauss
    "", "", "", 0, 0, 0, 0,
};
