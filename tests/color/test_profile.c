#include "check.h"
#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include <glob.h>
#include <lcms2.h>

typedef struct blob {
  uint8_t *bytes;
  cmsUInt32Number n;
} blob;

static blob blob_of(cmsHPROFILE profile) {
  blob out = {NULL, 0};
  assert_true(profile && cmsSaveProfileToMem(profile, NULL, &out.n));
  out.bytes = malloc(out.n);
  assert_non_null(out.bytes);
  assert_true(cmsSaveProfileToMem(profile, out.bytes, &out.n));
  cmsCloseProfile(profile);
  return out;
}

/* A wide matrix profile with another white and a plain gamma, so that nothing agrees with sRGB by accident.
 */
static blob wide_rgb(void) {
  const cmsCIExyY white = {0.3457, 0.3585, 1.0};
  const cmsCIExyYTRIPLE primaries = {{0.7347, 0.2653, 1}, {0.1596, 0.8404, 1}, {0.0366, 0.0001, 1}};
  cmsToneCurve *gamma = cmsBuildGamma(NULL, 1.8);
  cmsToneCurve *const curves[3] = {gamma, gamma, gamma};
  const blob out = blob_of(cmsCreateRGBProfile(&white, &primaries, curves));
  cmsFreeToneCurve(gamma);
  return out;
}

/* Some inks: paper white minus what each absorbs, in Lab encoded to 16 bits for a version 4 table. */
static int ink_sample(const cmsUInt16Number in[], cmsUInt16Number out[], void *cargo) {
  (void)cargo;
  double c = in[0] / 65535.0, m = in[1] / 65535.0, y = in[2] / 65535.0, k = in[3] / 65535.0;
  const cmsCIELab lab = {100 * (1 - k) * (1 - 0.4 * c) * (1 - 0.45 * m) * (1 - 0.1 * y),
                         (1 - k) * (70 * m - 35 * c), (1 - k) * (85 * y - 45 * c - 10 * m)};
  cmsFloat2LabEncoded(out, &lab);
  return 1;
}

/* A table profile: n samples to Lab by the function. */
static blob table_profile(cmsColorSpaceSignature space, cmsUInt32Number samples, cmsSAMPLER16 sample) {
  cmsHPROFILE profile = cmsCreateProfilePlaceholder(NULL);
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigOutputClass);
  cmsSetColorSpace(profile, space);
  cmsSetPCS(profile, cmsSigLabData);
  cmsPipeline *pipeline = cmsPipelineAlloc(NULL, samples, 3);
  cmsStage *table = cmsStageAllocCLut16bit(NULL, 9, samples, 3, NULL);
  assert_true(cmsStageSampleCLut16bit(table, sample, NULL, 0));
  cmsPipelineInsertStage(pipeline, cmsAT_BEGIN, cmsStageAllocToneCurves(NULL, samples, NULL));
  cmsPipelineInsertStage(pipeline, cmsAT_END, table);
  cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, NULL));
  assert_true(cmsWriteTag(profile, cmsSigAToB0Tag, pipeline));
  cmsPipelineFree(pipeline);
  return blob_of(profile);
}

static int rgb_sample(const cmsUInt16Number in[], cmsUInt16Number out[], void *cargo) {
  const cmsUInt16Number inks[4] = {(cmsUInt16Number)(65535 - in[0]), (cmsUInt16Number)(65535 - in[1]),
                                   (cmsUInt16Number)(65535 - in[2]), 0};
  return ink_sample(inks, out, cargo);
}

/* The independent way: LittleCMS in double to XYZ, then the matrix of this library. */
static cmsHTRANSFORM reference_open(blob icc, cmsUInt32Number format) {
  cmsHPROFILE profile = cmsOpenProfileFromMem(icc.bytes, icc.n), xyz = cmsCreateXYZProfile();
  cmsHTRANSFORM transform =
      cmsCreateTransform(profile, format, xyz, TYPE_XYZ_DBL, INTENT_RELATIVE_COLORIMETRIC,
                         cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
  assert_non_null(transform);
  cmsCloseProfile(xyz);
  cmsCloseProfile(profile);
  return transform;
}

static void reference_linear(cmsHTRANSFORM transform, const double *samples, double rgb[3]) {
  cmsCIEXYZ out;
  cmsDoTransform(transform, samples, &out, 1);
  dw_linear_from_xyz((dw_xyz){out.X, out.Y, out.Z}, rgb);
}

typedef struct kind_case {
  dw_pixel_kind kind;
  size_t samples;
  cmsUInt32Number format;
} kind_case;
static const kind_case gray_case = {DW_PIXEL_GRAY, 1, TYPE_GRAY_DBL},
                       rgb_case = {DW_PIXEL_RGB, 3, TYPE_RGB_DBL},
                       cmyk_case = {DW_PIXEL_CMYK, 4, TYPE_CMYK_DBL},
                       inverted_case = {DW_PIXEL_CMYK_INVERTED, 4, TYPE_CMYK_DBL};

/* The largest departure over random pixels, as a share of white, for 8 and 16 bits. */
static double departure(blob icc, kind_case c, int bits, double *lowest) {
  dw_profile *profile = NULL;
  dw_error err;
  if (dw_profile_open(icc.bytes, icc.n, c.kind, bits, &profile, &err) != DW_OK) fail_msg("%s", err.text);
  cmsHTRANSFORM reference = reference_open(icc, c.format);
  dw_random random = dw_random_seed((uint64_t)bits);
  double worst = 0;
  for (int i = 0; i < 2000; i++) {
    uint8_t eight[4];
    uint16_t sixteen[4];
    double exact[4], expected[3];
    for (size_t k = 0; k < c.samples; k++) {
      eight[k] = (uint8_t)(dw_random_uniform(&random) * 256);
      sixteen[k] = (uint16_t)(dw_random_uniform(&random) * 65536);
      exact[k] = bits == 8 ? eight[k] / 255.0 : sixteen[k] / 65535.0;
      if (c.kind == DW_PIXEL_CMYK_INVERTED) exact[k] = 1 - exact[k];
      if (c.samples == 4) exact[k] *= 100;
    }
    float rgb[3];
    dw_profile_linear(profile, bits == 8 ? (void *)eight : (void *)sixteen, 1, rgb);
    reference_linear(reference, exact, expected);
    for (int k = 0; k < 3; k++) {
      worst = fmax(worst, fabs(rgb[k] - expected[k]));
      *lowest = fmin(*lowest, rgb[k]);
    }
  }
  cmsDeleteTransform(reference);
  dw_profile_close(profile);
  return worst;
}

static void check_both_depths(blob icc, kind_case c, double room, bool beyond) {
  double lowest = 0;
  for (int bits = 8; bits <= 16; bits += 8) assert_near(departure(icc, c, bits, &lowest), 0, room);
  if (beyond) assert_true(lowest < -0.01); /* colors outside sRGB keep their negative share */
}

static void test_matrix_profile(void **state) {
  (void)state;
  const blob icc = wide_rgb();
  check_both_depths(icc, rgb_case, 2e-6, true);
  free(icc.bytes);
}

static void test_table_profiles(void **state) {
  (void)state;
  const blob rgb = table_profile(cmsSigRgbData, 3, rgb_sample);
  check_both_depths(rgb, rgb_case, 2e-5, true);
  free(rgb.bytes);
  const blob inks = table_profile(cmsSigCmykData, 4, ink_sample);
  check_both_depths(inks, cmyk_case, 2e-5, true);
  check_both_depths(inks, inverted_case, 2e-5, true);
  free(inks.bytes);
}

static void test_gray_profile(void **state) {
  (void)state;
  const cmsCIExyY white = {0.3457, 0.3585, 1.0};
  cmsToneCurve *gamma = cmsBuildGamma(NULL, 2.2);
  const blob icc = blob_of(cmsCreateGrayProfile(&white, gamma));
  cmsFreeToneCurve(gamma);
  check_both_depths(icc, gray_case, 3e-5, false);
  dw_profile *profile;
  assert_int_equal(dw_profile_open(icc.bytes, icc.n, DW_PIXEL_GRAY, 8, &profile, NULL), DW_OK);
  float rgb[6];
  dw_profile_linear(profile, "\x80\xff", 2, rgb);
  assert_near(rgb[1], pow(128 / 255.0, 2.2), 2e-5);
  assert_near(rgb[3], 1, 1e-5);
  dw_profile_close(profile);
  free(icc.bytes);
}

/* The profiles of Debian's icc-profiles-free, whatever of them is for gray or RGB pixels: other people's
 * curves, matrices and tables. */
static void test_installed_profiles(void **state) {
  (void)state;
  glob_t files;
  int checked = 0;
  if (glob("/usr/share/color/icc/*.icc", 0, NULL, &files) != 0) skip();
  for (size_t i = 0; i < files.gl_pathc; i++) {
    char *bytes = NULL;
    size_t n = 0;
    assert_int_equal(dw_file_read(files.gl_pathv[i], 1 << 24, &bytes, &n, NULL), DW_OK);
    const blob icc = {(uint8_t *)bytes, (cmsUInt32Number)n};
    for (int k = 0; k < 2; k++) {
      const kind_case c = k ? rgb_case : gray_case;
      dw_profile *profile = NULL;
      if (dw_profile_open(bytes, n, c.kind, 8, &profile, NULL) != DW_OK) continue;
      dw_profile_close(profile);
      check_both_depths(icc, c, 3e-5, false);
      checked++;
    }
    free(bytes);
  }
  globfree(&files);
  print_message("%d installed profiles agree\n", checked);
}

/* Built-in sRGB against LittleCMS's own sRGB profile: what fixed-point colorants and curve allow. */
static void test_srgb(void **state) {
  (void)state;
  const blob icc = blob_of(cmsCreate_sRGBProfile());
  dw_profile *plain, *embedded;
  assert_int_equal(dw_profile_open(NULL, 0, DW_PIXEL_RGB, 8, &plain, NULL), DW_OK);
  assert_int_equal(dw_profile_open(icc.bytes, icc.n, DW_PIXEL_RGB, 8, &embedded, NULL), DW_OK);
  assert_string_equal(dw_profile_title(plain), "sRGB");
  assert_non_null(strstr(dw_profile_title(embedded), "sRGB"));
  for (int v = 0; v < 256; v++) {
    const uint8_t pixel[3] = {(uint8_t)v, (uint8_t)(255 - v), (uint8_t)(v * 7)};
    float one[3], two[3];
    dw_profile_linear(plain, pixel, 1, one);
    dw_profile_linear(embedded, pixel, 1, two);
    for (int k = 0; k < 3; k++) {
      assert_near(one[k], dw_srgb_decode(pixel[k] / 255.0), 1e-7);
      assert_near(one[k], two[k], 1e-4);
    }
  }
  dw_profile_close(plain);
  dw_profile_close(embedded);
  free(icc.bytes);
}

static void test_deep_srgb_and_gray(void **state) {
  (void)state;
  dw_profile *deep, *gray;
  assert_int_equal(dw_profile_open(NULL, 0, DW_PIXEL_RGB, 16, &deep, NULL), DW_OK);
  assert_int_equal(dw_profile_open(NULL, 0, DW_PIXEL_GRAY, 16, &gray, NULL), DW_OK);
  for (int v = 0; v < 65536; v += 257 * 3 + 1) {
    const uint16_t pixel[3] = {(uint16_t)v, (uint16_t)(65535 - v), 7};
    float rgb[3];
    dw_profile_linear(deep, pixel, 1, rgb);
    for (int k = 0; k < 3; k++) assert_near(rgb[k], dw_srgb_decode(pixel[k] / 65535.0), 1e-7);
    dw_profile_linear(gray, pixel, 1, rgb);
    for (int k = 0; k < 3; k++) assert_near(rgb[k], dw_srgb_decode(pixel[0] / 65535.0), 1e-7);
  }
  dw_profile_close(deep);
  dw_profile_close(gray);
}

static void check_refused(const void *icc, size_t n, dw_pixel_kind kind, dw_status status, const char *word) {
  dw_profile *profile = NULL;
  dw_error err = {0};
  assert_int_equal(dw_profile_open(icc, n, kind, 8, &profile, &err), status);
  assert_null(profile);
  if (!strstr(err.text, word)) fail_msg("\"%s\" does not say \"%s\"", err.text, word);
}

static void test_refusals(void **state) {
  (void)state;
  const blob rgb = wide_rgb();
  check_refused(NULL, 0, DW_PIXEL_CMYK, DW_UNSUPPORTED, "CMYK");
  check_refused(NULL, 0, DW_PIXEL_CMYK_INVERTED, DW_UNSUPPORTED, "CMYK");
  check_refused(rgb.bytes, rgb.n, DW_PIXEL_CMYK, DW_BAD_INPUT, "is for RGB colors but its pixels are CMYK");
  check_refused(rgb.bytes, rgb.n, DW_PIXEL_GRAY, DW_BAD_INPUT, "pixels are gray");
  check_refused(rgb.bytes, rgb.n / 4, DW_PIXEL_RGB, DW_BAD_INPUT, "damaged");
  check_refused("not a profile", 13, DW_PIXEL_RGB, DW_BAD_INPUT, "damaged");
  check_refused("", 0, DW_PIXEL_RGB, DW_BAD_INPUT, "damaged");
  check_refused(rgb.bytes, (size_t)17 << 20, DW_PIXEL_RGB, DW_BAD_INPUT, "more than");
  const blob lab = blob_of(cmsCreateLab4Profile(NULL));
  check_refused(lab.bytes, lab.n, DW_PIXEL_RGB, DW_BAD_INPUT, "does not describe");
  dw_profile *profile = NULL;
  assert_int_equal(dw_profile_open(NULL, 0, DW_PIXEL_RGB, 12, &profile, NULL), DW_UNSUPPORTED);
  free(lab.bytes);
  free(rgb.bytes);
}

/* Damaged in one to eight places, or cut: it opens or is refused, and what opens gives finite numbers. */
static void hurt(blob icc, kind_case c) {
  dw_random random = dw_random_seed(13);
  uint8_t *bytes = malloc(icc.n);
  assert_non_null(bytes);
  for (int round = 0; round < 600; round++) {
    memcpy(bytes, icc.bytes, icc.n);
    const double reach = round % 2 ? 400 : icc.n; /* every other time in the header and the tag table */
    for (int i = 0; i <= round % 8; i++)
      bytes[(size_t)(fmin(reach, icc.n) * dw_random_uniform(&random))] =
          (uint8_t)(256 * dw_random_uniform(&random));
    const size_t n = round % 5 ? icc.n : (size_t)(icc.n * dw_random_uniform(&random));
    dw_profile *profile = NULL;
    dw_error err = {0};
    if (dw_profile_open(bytes, n, c.kind, 8, &profile, &err) != DW_OK) {
      assert_true(strlen(err.text) > 20);
      continue;
    }
    float rgb[6];
    dw_profile_linear(profile, "\x01\x80\xfe\x20\x40\xc0\xff", 7 / c.samples > 2 ? 2 : 7 / c.samples, rgb);
    for (int k = 0; k < 3; k++) assert_true(isfinite(rgb[k]));
    dw_profile_close(profile);
  }
  free(bytes);
}

/* A parametric curve of 5000 x, valid by the letter of ICC.1:2010, 10.16. */
static void test_absurd_light_is_refused(void **state) {
  (void)state;
  const cmsCIExyY white = {0.3127, 0.3290, 1.0};
  const cmsCIExyYTRIPLE primaries = {{0.64, 0.33, 1.0}, {0.30, 0.60, 1.0}, {0.15, 0.06, 1.0}};
  const cmsFloat64Number steep[] = {1.0, 5000.0, 0.0};
  cmsToneCurve *curve = cmsBuildParametricToneCurve(NULL, 2, steep);
  cmsToneCurve *const curves[3] = {curve, curve, curve};
  cmsHPROFILE made = cmsCreateRGBProfile(&white, &primaries, curves);
  cmsSetProfileVersion(made, 4.3);
  const blob icc = blob_of(made);
  cmsFreeToneCurve(curve);
  for (int bits = 8; bits <= 16; bits += 8) {
    dw_profile *profile = NULL;
    dw_error err = {0};
    assert_int_equal(dw_profile_open(icc.bytes, icc.n, DW_PIXEL_RGB, bits, &profile, &err), DW_BAD_INPUT);
    assert_non_null(strstr(err.text, "times the light of white"));
    assert_null(profile);
  }
  free(icc.bytes);
}

static void test_damaged_profiles(void **state) {
  (void)state;
  const blob rgb = wide_rgb(), table = table_profile(cmsSigRgbData, 3, rgb_sample);
  const blob inks = table_profile(cmsSigCmykData, 4, ink_sample);
  hurt(rgb, rgb_case);
  hurt(table, rgb_case);
  hurt(inks, cmyk_case);
  free(rgb.bytes);
  free(table.bytes);
  free(inks.bytes);
}

/* Many pixels at once give what single ones give. */
static void test_blocks(void **state) {
  (void)state;
  enum { PIXELS = 1000 };
  const blob inks = table_profile(cmsSigCmykData, 4, ink_sample);
  static uint8_t pixels[4 * PIXELS];
  static float rgb[3 * PIXELS];
  dw_random random = dw_random_seed(1);
  for (size_t i = 0; i < sizeof pixels; i++) pixels[i] = (uint8_t)(256 * dw_random_uniform(&random));
  dw_profile *profile;
  assert_int_equal(dw_profile_open(inks.bytes, inks.n, DW_PIXEL_CMYK_INVERTED, 8, &profile, NULL), DW_OK);
  dw_profile_linear(profile, pixels, PIXELS, rgb);
  for (size_t i = 0; i < PIXELS; i++) {
    float one[3];
    dw_profile_linear(profile, pixels + 4 * i, 1, one);
    assert_memory_equal(one, rgb + 3 * i, sizeof one);
  }
  dw_profile_close(profile);
  free(inks.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_matrix_profile),
                                     cmocka_unit_test(test_table_profiles),
                                     cmocka_unit_test(test_gray_profile),
                                     cmocka_unit_test(test_installed_profiles),
                                     cmocka_unit_test(test_srgb),
                                     cmocka_unit_test(test_deep_srgb_and_gray),
                                     cmocka_unit_test(test_refusals),
                                     cmocka_unit_test(test_damaged_profiles),
                                     cmocka_unit_test(test_absurd_light_is_refused),
                                     cmocka_unit_test(test_blocks)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
