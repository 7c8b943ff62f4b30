/* A matrix profile, a small table profile and a gray one, as seeds. */
#include "fuzz.h"

#include "profiles.h"

#include <lcms2.h>
#include <stdlib.h>

static void take_gray(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx) {
  cmsToneCurve *curve = cmsBuildGamma(NULL, 2.2);
  cmsHPROFILE profile = cmsCreateGrayProfile(cmsD50_xyY(), curve);
  cmsUInt32Number n = 0;
  promise(cmsSaveProfileToMem(profile, NULL, &n), "a gray profile");
  uint8_t *bytes = malloc(n);
  promise(bytes && cmsSaveProfileToMem(profile, bytes, &n), "a gray profile");
  take(ctx, bytes, n);
  free(bytes);
  cmsCloseProfile(profile);
  cmsFreeToneCurve(curve);
}

void fuzz_seeds(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx) {
  size_t n;
  void *wide = p3_profile(&n);
  take(ctx, wide, n);
  free(wide);
  void *ink = ink_profile(3, &n);
  take(ctx, ink, n);
  free(ink);
  take_gray(take, ctx);
}
