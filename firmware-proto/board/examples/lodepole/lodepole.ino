// Lodepole's board, from the library.
#include <lodepole.h>

void setup() { firmwareBegin(); }

void loop() { firmwareTurn(); }
