/* Prints CIELAB of a 16 x 16 x 16 grid of sRGB colors, one a line: R G B L a b. */
#include "dropwise/color.h"

int main(void) {
  for (int i = 0; i < 16 * 16 * 16; i++) {
    const uint8_t rgb[3] = {(uint8_t)(i / 256 * 17), (uint8_t)(i / 16 % 16 * 17), (uint8_t)(i % 16 * 17)};
    const dw_lab lab = dw_lab_from_srgb8(rgb);
    printf("%d %d %d %.9f %.9f %.9f\n", rgb[0], rgb[1], rgb[2], lab.L, lab.a, lab.b);
  }
  return 0;
}
