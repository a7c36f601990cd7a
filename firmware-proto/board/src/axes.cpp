#include "axes.h"

bool areProperAxes(const char *text) {
  uint8_t axis[3];
  bool isNegative = false;
  for (uint8_t i = 0; i < 3; i++) {
    if (text[2 * i] != '+' && text[2 * i] != '-') return false;
    if (text[2 * i] == '-') isNegative = !isNegative;
    char letter = text[2 * i + 1];
    if (letter < 'X' || letter > 'Z') return false;
    axis[i] = (uint8_t)(letter - 'X');
  }
  if (text[axesLength] != '\0') return false;
  if (axis[0] == axis[1] || axis[0] == axis[2] || axis[1] == axis[2]) return false;
  // The determinant: the sign of the permutation times the three signs.
  bool isEven = (uint8_t)(axis[0] + 1) % 3 == axis[1];
  return isEven != isNegative;
}
