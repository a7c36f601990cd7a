// The magnetometer HMC5883L.
// Registers and scales: Honeywell 900405 (HMC5883L), "Register list", tables 2 to 20.
// Checked against ArduPilot's public driver AP_Compass_HMC5843 (order x, z, y; 1090 counts per gauss). Self-test ("Self test operation"):
// positive bias (MS), a measurement of the chip's own field alone, 243 to 575 counts at 390 counts per gauss, here at 1090.
#include "../chip.h"

namespace {

const uint8_t configurationA = 0x00, configurationB = 0x01, mode = 0x02, dataOutputX = 0x03, status = 0x09;
const uint8_t identificationA = 0x0A, identificationB = 0x0B;
const uint8_t RDY = 0x01;

const Setting settings[] IN_FLASH = {
    {configurationA, 0x78},  // MA: mean of 8; DO: 75 Hz, the fastest that it has
    {configurationB, 0x20},  // GN: +-1.3 gauss, 1090 counts per gauss
    {mode, 0x00},            // continuous
};

// Identification "H43" in three registers.
bool confirm(uint8_t address) { return registerIs(address, identificationB, '4'); }

bool isPushed;
int16_t before[3];

bool configure(uint8_t address, bool push) {
  isPushed = push;
  return busWriteAll(address, settings, 3) && (!push || busWrite(address, configurationA, 0x79));
}

// Beyond its range an axis reads -4096.
bool read(uint8_t address, Reading &reading) {
  if (!readField(address, status, RDY, dataOutputX, xzyBigEndian, reading)) return false;
  onTopOf(before, reading.field, isPushed);
  return true;
}

}  // namespace

extern "C" const Chip hmc5883l IN_FLASH = {
    "HMC5883L", {0x1E}, identificationA, 'H', confirm, configure, read,
    "91.7431",  // 1090 per gauss
    "", "", "", 679, 1607, 0, 0,
};
