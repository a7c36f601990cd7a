// Every chip that a board may carry, in the order in which they are looked for.
#include "../chip.h"

extern const Chip lsm303agrAccelerometer, lsm303agrMagnetometer;

const Chip *const accelerometers[] IN_FLASH = {&lsm303agrAccelerometer, nullptr};
const Chip *const magnetometers[] IN_FLASH = {&lsm303agrMagnetometer, nullptr};
