#include "profiles.h"
#include "pictures.h"

#include "dropwise/color.h"

#include <lcms2.h>
#include <stdlib.h>

const double srgb_xy[8] = {0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06};
const double p3_xy[8] = {0.3127, 0.3290, 0.680, 0.320, 0.265, 0.690, 0.150, 0.060};

static void *save_profile(cmsHPROFILE profile, size_t *n) {
  cmsUInt32Number size = 0;
  assert_true(cmsSaveProfileToMem(profile, NULL, &size));
  void *bytes = malloc(size);
  assert_non_null(bytes);
  assert_true(cmsSaveProfileToMem(profile, bytes, &size));
  cmsCloseProfile(profile);
  *n = size;
  return bytes;
}

static void describe(cmsHPROFILE profile, const char *text) {
  cmsMLU *words = cmsMLUalloc(NULL, 1);
  cmsMLUsetASCII(words, "en", "US", text);
  assert_true(cmsWriteTag(profile, cmsSigProfileDescriptionTag, words));
  cmsMLUfree(words);
}

void *p3_profile(size_t *n) {
  static const double srgb_curve[5] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  cmsToneCurve *curve = cmsBuildParametricToneCurve(NULL, 4, srgb_curve);
  cmsToneCurve *curves[3] = {curve, curve, curve};
  cmsCIExyY white = {p3_xy[0], p3_xy[1], 1};
  cmsCIExyYTRIPLE rgb = {{p3_xy[2], p3_xy[3], 1}, {p3_xy[4], p3_xy[5], 1}, {p3_xy[6], p3_xy[7], 1}};
  cmsHPROFILE profile = cmsCreateRGBProfile(&white, &rgb, curves);
  cmsFreeToneCurve(curve);
  describe(profile, "Wide test space");
  return save_profile(profile, n);
}

/* A made-up ink set: inks multiply, black ink leaves 2 percent. */
static cmsInt32Number ink_to_lab(const cmsUInt16Number in[], cmsUInt16Number out[], void *ctx) {
  (void)ctx;
  double light[3];
  for (int i = 0; i < 3; i++) light[i] = (1 - 0.9 * in[i] / 65535.0) * (1 - 0.98 * in[3] / 65535.0);
  dw_lab lab = dw_lab_from_xyz(dw_xyz_from_linear(light));
  cmsCIELab value = {lab.L, lab.a, lab.b};
  cmsFloat2LabEncoded(out, &value);
  return TRUE;
}

void *ink_profile(unsigned points, size_t *n) {
  cmsHPROFILE profile = cmsCreateProfilePlaceholder(NULL);
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigOutputClass);
  cmsSetColorSpace(profile, cmsSigCmykData);
  cmsSetPCS(profile, cmsSigLabData);
  cmsPipeline *pipeline = cmsPipelineAlloc(NULL, 4, 3);
  cmsStage *table = cmsStageAllocCLut16bit(NULL, points, 4, 3, NULL);
  assert_true(cmsStageSampleCLut16bit(table, ink_to_lab, NULL, 0));
  cmsPipelineInsertStage(pipeline, cmsAT_BEGIN, cmsStageAllocToneCurves(NULL, 4, NULL));
  cmsPipelineInsertStage(pipeline, cmsAT_END, table);
  cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, NULL));
  assert_true(cmsWriteTag(profile, cmsSigAToB0Tag, pipeline));
  cmsPipelineFree(pipeline);
  describe(profile, "Made-up inks");
  return save_profile(profile, n);
}
