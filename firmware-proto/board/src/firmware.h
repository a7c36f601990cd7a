// The board's program, the same on every processor: samples the chips a hundred times a second and says so in lines (WIRE.md).
#pragma once

void firmwareBegin();
// One turn of the main loop; ends in sleep until something happens.
void firmwareTurn();
