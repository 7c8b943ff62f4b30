/* CIELAB, CIEDE2000 with its parts and words, sRGB, spectral bands, and the LittleCMS wrapper.
 * Methods, sources and measured accuracies: docs/color-model.md#color */
#ifndef DROPWISE_COLOR_H
#define DROPWISE_COLOR_H

#include "dropwise/base.h"
#include "dropwise/lab.h"

/* ICC D50, the white of the connection space (ICC.1:2022, 7.2.16; LittleCMS uses the same). */
#define DW_D50_X 0.9642
#define DW_D50_Y 1.0
#define DW_D50_Z 0.8249

/* ---- single values, double: the reference ------------------------------------------------------------ */

dw_lab dw_lab_from_xyz(dw_xyz xyz);                     /* white D50 */
dw_lab dw_lab_from_xyz_white(dw_xyz xyz, dw_xyz white); /* any white; no adaptation */
dw_xyz dw_xyz_from_lab(dw_lab lab);
dw_lch dw_lch_from_lab(dw_lab lab);
dw_lab dw_lab_from_lch(dw_lch lch);
/* The hue angle as it is shown beside a C* of so many decimals: NAN where that C* is 0, never 360. */
double dw_hue_shown(dw_lch lch, int c_decimals, int h_decimals);

/* A CIEDE2000 difference from first to second, kL = kC = kH = 1.
 * dl, dc, dh are the signed weighted terms dL'/SL, dC'/SC, dH'/SH: de^2 = dl^2 + dc^2 + dh^2 + RT dc dh.
 * dh > 0 turns counter-clockwise (red to yellow to green to blue).
 * Source: CIE 142-2001; Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21. */
typedef struct dw_difference {
  double de00, dl, dc, dh;
} dw_difference;
dw_difference dw_difference_between(dw_lab from, dw_lab to);
double dw_de00(dw_lab from, dw_lab to);

/* The 3 x 3 matrix (row-major) that turns a small Lab difference at `at` into a vector whose length is its
 * CIEDE2000 (rotation term left out): SL, SC, SH and the stretch of a'. */
void dw_de00_metric(dw_lab at, double out[9]);
/* The parts of a difference by that matrix: lightness, chroma, hue. */
void dw_de00_parts(const double metric[9], dw_lab from, dw_lab to, double out[3]);

/* Words for a difference, as seen from `from`: "lighter, duller, turned toward red". Names only the parts
 * worth naming (over a fifth of the whole and over 0.3); "the same" below 0.3. Always terminated. */
void dw_difference_words(dw_lab from, dw_lab to, char *out, size_t room);
/* What a color must do to become the one aimed for: "it must get lighter, duller", or "as aimed" below 0.3.
 */
void dw_way_words(dw_lab now, dw_lab target, char *out, size_t room);
/* What is wrong with a color, beside the right one: "too light, too bright, too yellow"; "the same" below
 * 0.3. */
void dw_excess_words(dw_lab color, dw_lab right, char *out, size_t room);
/* A plain name of a color for a person: "dark brown", "dull orange", "light gray". */
void dw_color_words(dw_lab color, char *out, size_t room);

/* ---- batches, float: n rows of 3, row-major; in and out may be the same array ------------------------ */

/* Within 1e-4 of dw_lab_from_xyz for XYZ up to 4. */
void dw_lab_from_xyz_rows(const float *xyz, size_t n, float *lab);
/* n values of linear red, green and blue (sRGB, 0 to 4) in planes of their own become L*, a*, b* there, within
 * 1e-3 of dw_lab_from_xyz: what a search is made in. */
void dw_lab_from_linear_planes(float *const plane[3], size_t n);
void dw_de00_rows(const float *from, const float *to, size_t n, float *de00);
/* Linear sRGB (unbounded) to XYZ D50. */
void dw_xyz_from_linear_rows(const float *rgb, size_t n, float *xyz);

/* ---- sRGB (IEC 61966-2-1), white adapted to D50 by Bradford as in the ICC sRGB profile --------------- */

double dw_srgb_decode(double encoded); /* 0..1 to linear, odd-symmetric below 0 */
double dw_srgb_encode(double linear);
dw_xyz dw_xyz_from_linear(const double rgb[3]);
void dw_linear_from_xyz(dw_xyz xyz, double rgb[3]);
dw_lab dw_lab_from_srgb8(const uint8_t rgb[3]); /* a library user's one color, exactly */
/* Nearest sRGB for the screen: chroma is lowered at constant L* and h until it fits. True when it fitted as
 * it was. */
bool dw_srgb8_from_lab(dw_lab lab, uint8_t rgb[3]);

/* ---- bands: spectral sampling ------------------------------------------------------------------------ */

#ifndef DW_BANDS
#define DW_BANDS 31 /* 400 to 700 nm by 10; 16 (by 20) is the other build option */
#endif
/* Weights of each band to XYZ under D50, CIE 1931 observer, tails folded into the end bands; a perfect white
 * of 1 in every band gives exactly (DW_D50_X, 1, DW_D50_Z). */
extern const double dw_band_xyz[DW_BANDS][3];
double dw_band_nm(size_t band);
dw_xyz dw_xyz_from_bands(const double reflectance[DW_BANDS]);
/* The lightest color of that chromaticity that a surface can have under D50 which only reflects: reflectances from 0
 * to 1 in every band.  A lighter one shines by itself, or more light fell on it. */
dw_lab dw_surface_lightest(dw_lab color);

/* ---- ICC profiles through LittleCMS ------------------------------------------------------------------ */

/* Turns encoded pixels into linear sRGB floats (unbounded, D50-adapted), relative colorimetric. */
typedef struct dw_profile dw_profile;

typedef enum dw_pixel_kind {
  DW_PIXEL_GRAY,
  DW_PIXEL_RGB,
  DW_PIXEL_CMYK,
  DW_PIXEL_CMYK_INVERTED
} dw_pixel_kind;

/* icc, n   the embedded profile, or NULL, 0 for sRGB (gray: sRGB's curve)
 * bits     8 or 16 bits of every sample, native byte order
 * Errors   DW_BAD_INPUT a broken profile or one for another kind of pixel; DW_UNSUPPORTED CMYK without a
 * profile; DW_NO_MEMORY.  One per thread: it holds its own LittleCMS context. */
dw_status dw_profile_open(const void *icc, size_t n, dw_pixel_kind kind, int bits, dw_profile **out,
                          dw_error *err);
void dw_profile_close(dw_profile *profile);
const char *
dw_profile_title(const dw_profile *profile); /* "sRGB" or the profile's own description; borrowed */
/* Whether its samples are the 8 bits of red, green and blue of a screen as they are. */
bool dw_profile_is_screen(const dw_profile *profile);
/* n pixels of 1, 3 or 4 samples to n x 3 floats. */
void dw_profile_linear(const dw_profile *profile, const void *pixels, size_t n, float *rgb);

/* What nearly every profile of 8-bit red, green and blue does: a table a channel, then a matrix. */
typedef struct dw_code_light {
  float table[3][256], matrix[9];
} dw_code_light;
/* False where the profile does it otherwise. */
bool dw_profile_code_light(const dw_profile *profile, dw_code_light *out);
/* One pixel to linear sRGB, as dw_profile_linear does. */
static inline void dw_code_light_at(const dw_code_light *light, const uint8_t code[3], float rgb[3]) {
  const float *m = light->matrix, r = light->table[0][code[0]], g = light->table[1][code[1]],
              b = light->table[2][code[2]];
  for (size_t k = 0; k < 3; k++) rgb[k] = m[3 * k] * r + m[3 * k + 1] * g + m[3 * k + 2] * b;
}

#endif
