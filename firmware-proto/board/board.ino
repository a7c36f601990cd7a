// Lodepole's board. The program is in src/: it is the same on every processor (../README.md).
#include "src/firmware.h"

void setup() { firmwareBegin(); }

void loop() { firmwareTurn(); }
