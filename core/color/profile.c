/* Embedded color profiles, read by LittleCMS in a context of their own. */
#include "color/profile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_PROFILE_BYTES = 16 << 20, BLOCK = 256 };

/* What a channel of linear sRGB can be in an honest photo, white being 1. */
#define LIGHT_LEAST (-4.0f)
#define LIGHT_MOST 16.0f

static const struct {
  const char *name;
  cmsColorSpaceSignature space;
  cmsUInt32Number format;
  size_t samples;
} kinds[] = {[DW_PIXEL_GRAY] = {"gray", cmsSigGrayData, TYPE_GRAY_FLT, 1},
             [DW_PIXEL_RGB] = {"RGB", cmsSigRgbData, TYPE_RGB_FLT, 3},
             [DW_PIXEL_CMYK] = {"CMYK", cmsSigCmykData, TYPE_CMYK_FLT, 4},
             [DW_PIXEL_CMYK_INVERTED] = {"CMYK", cmsSigCmykData, TYPE_CMYK_FLT, 4}};

/* LittleCMS reports in words before it returns a bare NULL: they are kept for the sentence to come. */
static void complaint_keep(cmsContext context, cmsUInt32Number code, const char *text) {
  (void)code;
  dw_profile *profile = cmsGetContextUserData(context);
  dw_copy_text(profile->complaint, sizeof profile->complaint, text);
}

static dw_status fail_damaged(const dw_profile *profile, dw_error *err) {
  return dw_fail(err, DW_BAD_INPUT,
                 "The photo's color profile is damaged (%s): save the photo again with an sRGB profile.",
                 profile->complaint[0] ? profile->complaint : "it holds no usable conversion");
}

static const char *space_name(cmsColorSpaceSignature space) {
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
    if (kinds[i].space == space) return kinds[i].name;
  return "other";
}

static dw_status profile_check(const dw_profile *profile, cmsHPROFILE icc, dw_error *err) {
  const cmsColorSpaceSignature space = cmsGetColorSpace(icc);
  const cmsProfileClassSignature class = cmsGetDeviceClass(icc);
  if (class != cmsSigInputClass && class != cmsSigDisplayClass && class != cmsSigOutputClass &&
      class != cmsSigColorSpaceClass)
    return dw_fail(
        err, DW_BAD_INPUT,
        "The photo's color profile does not describe a camera, screen, printer or color space: save "
        "the photo again with an sRGB profile.");
  if (space != kinds[profile->kind].space)
    return dw_fail(
        err, DW_BAD_INPUT,
        "The photo's color profile is for %s colors but its pixels are %s: save the photo again with "
        "a matching profile.",
        space_name(space), kinds[profile->kind].name);
  return DW_OK;
}

static void title_read(dw_profile *profile, cmsHPROFILE icc) {
  char *title = profile->title;
  cmsGetProfileInfoASCII(icc, cmsInfoDescription, "en", "US", title, sizeof profile->title);
  title[sizeof profile->title - 1] = '\0';
  for (char *c = title; *c; c++)
    if (*c < ' ' || *c > '~') *c = '?';
  if (!title[0]) dw_copy_text(title, sizeof profile->title, "a profile without a name");
}

/* Linear sRGB whose matrix is that of dw_xyz_from_linear: LittleCMS adapts to D50 by Bradford too. */
static cmsHPROFILE linear_srgb_open(cmsContext context) {
  const cmsCIExyY white = {0.3127, 0.3290, 1.0};
  const cmsCIExyYTRIPLE primaries = {{0.64, 0.33, 1.0}, {0.30, 0.60, 1.0}, {0.15, 0.06, 1.0}};
  cmsToneCurve *line = cmsBuildGamma(context, 1.0);
  cmsToneCurve *const curves[3] = {line, line, line};
  cmsHPROFILE linear = line ? cmsCreateRGBProfileTHR(context, &white, &primaries, curves) : NULL;
  if (line) cmsFreeToneCurve(line);
  return linear;
}

static dw_status transform_open(dw_profile *profile, cmsHPROFILE icc, dw_error *err) {
  cmsHPROFILE linear = linear_srgb_open(profile->context);
  if (!linear) return dw_fail_memory(err, "the photo's color profile");
  /* No cache: it would make the transform change while it is used. */
  profile->transform = cmsCreateTransformTHR(profile->context, icc, kinds[profile->kind].format, linear,
                                             TYPE_RGB_FLT, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE);
  cmsCloseProfile(linear);
  return profile->transform ? DW_OK : fail_damaged(profile, err);
}

/* Gray and matrix profiles become tables; whatever is left needs the transform. */
static dw_status conversion_build(dw_profile *profile, cmsHPROFILE icc, dw_error *err) {
  dw_status status = DW_OK;
  if (profile->kind == DW_PIXEL_RGB || profile->kind == DW_PIXEL_GRAY)
    status = dw__shaper_prepare(profile, err);
  if (status == DW_OK && profile->kind == DW_PIXEL_RGB && dw__shaper_fill_icc(&profile->shaper, icc))
    return DW_OK;
  if (status == DW_OK) status = transform_open(profile, icc, err);
  if (status == DW_OK && profile->kind == DW_PIXEL_RGB) {
    free(profile->shaper.tables);
    profile->shaper.tables = NULL;
  }
  if (status == DW_OK && profile->kind == DW_PIXEL_GRAY) {
    dw__shaper_fill_gray(&profile->shaper, profile->transform);
    cmsDeleteTransform(profile->transform);
    profile->transform = NULL;
  }
  return status;
}

/* Curves and tables of a damaged profile can give light by the million: no color that it makes is one then.
 * Looked at over a lattice of samples; primaries beyond sRGB and highlights above white are within the
 * bounds. */
static dw_status light_check(const dw_profile *profile, dw_error *err) {
  enum { LEVELS = 5, MOST = LEVELS * LEVELS * LEVELS * LEVELS };
  uint16_t wide[4 * MOST];
  uint8_t narrow[4 * MOST];
  float rgb[3 * MOST];
  size_t samples = kinds[profile->kind].samples, n = 1;
  for (size_t k = 0; k < samples; k++) n *= LEVELS;
  for (size_t i = 0; i < n; i++)
    for (size_t k = 0, rest = i; k < samples; k++, rest /= LEVELS) {
      const unsigned level = (unsigned)(rest % LEVELS);
      wide[samples * i + k] = (uint16_t)(65535 * level / (LEVELS - 1));
      narrow[samples * i + k] = (uint8_t)(255 * level / (LEVELS - 1));
    }
  dw_profile_linear(profile, profile->bits == 16 ? (const void *)wide : narrow, n, rgb);
  for (size_t i = 0; i < 3 * n; i++)
    if (rgb[i] < LIGHT_LEAST || rgb[i] > LIGHT_MOST)
      return dw_fail(
          err, DW_BAD_INPUT,
          "The photo's color profile is damaged (it gives %.0f times the light of white): save the photo "
          "again with an sRGB profile.",
          (double)rgb[i]);
  return DW_OK;
}

static dw_status icc_open(dw_profile *profile, const void *bytes, size_t n, dw_error *err) {
  if (n > MAX_PROFILE_BYTES)
    return dw_fail(
        err, DW_BAD_INPUT,
        "The photo's color profile has %zu bytes, more than the %d that are read: save the photo again "
        "with an sRGB profile.",
        n, MAX_PROFILE_BYTES);
  profile->context = cmsCreateContext(NULL, profile);
  if (!profile->context) return dw_fail_memory(err, "the photo's color profile");
  cmsSetLogErrorHandlerTHR(profile->context, complaint_keep);
  cmsHPROFILE icc = cmsOpenProfileFromMemTHR(profile->context, bytes, (cmsUInt32Number)n);
  if (!icc) return fail_damaged(profile, err);
  dw_status status = profile_check(profile, icc, err);
  if (status == DW_OK) {
    title_read(profile, icc);
    status = conversion_build(profile, icc, err);
  }
  if (status == DW_OK) status = light_check(profile, err);
  cmsCloseProfile(icc);
  return status;
}

static dw_status srgb_open(dw_profile *profile, dw_error *err) {
  if (profile->kind == DW_PIXEL_CMYK || profile->kind == DW_PIXEL_CMYK_INVERTED)
    return dw_fail(
        err, DW_UNSUPPORTED,
        "The photo holds CMYK inks without a color profile, so their colors are unknown: save it as "
        "sRGB.");
  dw_copy_text(profile->title, sizeof profile->title, "sRGB");
  dw_status status = dw__shaper_prepare(profile, err);
  if (status == DW_OK) dw__shaper_fill_srgb(&profile->shaper);
  return status;
}

dw_status dw_profile_open(const void *icc, size_t n, dw_pixel_kind kind, int bits, dw_profile **out,
                          dw_error *err) {
  if (bits != 8 && bits != 16)
    return dw_fail(err, DW_UNSUPPORTED, "Samples of %d bits are not read: save the photo with 8 or 16.",
                   bits);
  dw_profile *profile = calloc(1, sizeof *profile);
  if (!profile) return dw_fail_memory(err, "the photo's color profile");
  profile->kind = kind;
  profile->bits = bits;
  dw_status status = icc ? icc_open(profile, icc, n, err) : srgb_open(profile, err);
  if (status == DW_OK)
    *out = profile;
  else
    dw_profile_close(profile);
  return status;
}

void dw_profile_close(dw_profile *profile) {
  if (!profile) return;
  if (profile->transform) cmsDeleteTransform(profile->transform);
  if (profile->context) cmsDeleteContext(profile->context);
  free(profile->shaper.tables);
  free(profile);
}

const char *dw_profile_title(const dw_profile *profile) {
  return profile->title;
}

bool dw_profile_is_screen(const dw_profile *profile) {
  return !profile->context && profile->kind == DW_PIXEL_RGB && profile->bits == 8;
}

/* Samples to the floats LittleCMS expects: 0 to 1, inks 0 to 100 percent. Inverted inks: full is none. */
static void samples_scale(const dw_profile *profile, const void *pixels, size_t first, size_t n, float *out) {
  const float full = profile->bits == 8 ? 255.0f : 65535.0f;
  const bool inks = kinds[profile->kind].space == cmsSigCmykData;
  const bool inverted = profile->kind == DW_PIXEL_CMYK_INVERTED;
  for (size_t i = 0; i < n; i++) {
    const float v =
        profile->bits == 8 ? ((const uint8_t *)pixels)[first + i] : ((const uint16_t *)pixels)[first + i];
    out[i] = (inverted ? full - v : v) / full * (inks ? 100.0f : 1.0f);
  }
}

static void transform_run(const dw_profile *profile, const void *pixels, size_t n, float *rgb) {
  const size_t samples = kinds[profile->kind].samples;
  float in[4 * BLOCK];
  for (size_t start = 0; start < n; start += BLOCK) {
    const size_t count = n - start < BLOCK ? n - start : BLOCK;
    samples_scale(profile, pixels, samples * start, samples * count, in);
    cmsDoTransform(profile->transform, in, rgb + 3 * start, (cmsUInt32Number)count);
  }
  /* -fanalyzer: LittleCMS has filled rgb */
  for (size_t i = 0; i < 3 * n; i++) /* float tables of a hostile profile can give anything */
    if (!isfinite(rgb[i])) rgb[i] = 0.0f;
}

bool dw_profile_code_light(const dw_profile *profile, dw_code_light *out) {
  const dw__shaper *shaper = &profile->shaper;
  if (profile->transform || profile->kind != DW_PIXEL_RGB || profile->bits != 8) return false;
  memcpy(out->table, shaper->tables, sizeof out->table);
  memcpy(out->matrix, shaper->matrix, sizeof out->matrix);
  return true;
}

void dw_profile_linear(const dw_profile *profile, const void *pixels, size_t n, float *rgb) {
  if (profile->transform)
    transform_run(profile, pixels, n, rgb);
  else
    dw__shaper_run(profile, pixels, n, rgb);
}
