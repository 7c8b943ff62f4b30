/* Any bytes as a color profile, for every kind of pixel: colors that are numbers, or a refusal. */
#include "fuzz.h"

#include "dropwise/color.h"

#include <math.h>

static const uint8_t samples[64] = {
    0, 0,  0,   0,   255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 1,   2,   3,   4, 5,   6,
    7, 8,  128, 128, 128, 128, 128, 128, 128, 128, 255, 0,   0,   255, 0,   255, 0,   255, 255, 0, 255, 0,
    9, 99, 199, 250, 100, 200, 100, 200, 40,  30,  20,  10,  77,  88,  99,  111, 222, 1,   254, 3};

static void try_kind(const uint8_t *bytes, size_t n, dw_pixel_kind kind, int bits) {
  dw_profile *profile = NULL;
  dw_error err;
  float rgb[3 * 8];
  if (!promised(dw_profile_open(bytes, n, kind, bits, &profile, &err), &err)) {
    promise(!profile, "no profile on error");
    return;
  }
  dw_profile_linear(profile, samples, 8, rgb);
  for (int i = 0; i < 24; i++) promise(isfinite(rgb[i]), "a color is a number");
  promise(dw_profile_title(profile)[0] != '\0', "a profile has a title");
  dw_profile_close(profile);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  if (n == 0) return 0; /* none means sRGB */
  try_kind(bytes, n, DW_PIXEL_RGB, 8);
  try_kind(bytes, n, DW_PIXEL_GRAY, 16);
  try_kind(bytes, n, DW_PIXEL_CMYK, 8);
  return 0;
}
