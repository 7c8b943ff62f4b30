/* CIELAB, CIEDE2000 with its parts and words, sRGB, spectral bands, and the LittleCMS wrapper.
 * Methods, sources and measured accuracies: docs/color-model.md#color */
#ifndef POURTONE_COLOR_H
#define POURTONE_COLOR_H

#include "pourtone/base.h"
#include "pourtone/lab.h"

/* ICC D50, the white of the connection space (ICC.1:2022, 7.2.16; LittleCMS uses the same). */
#define PT_D50_X 0.9642
#define PT_D50_Y 1.0
#define PT_D50_Z 0.8249

/* ---- single values, double: the reference ------------------------------------------------------------ */

pt_lab pt_lab_from_xyz(pt_xyz xyz);                     /* white D50 */
pt_lab pt_lab_from_xyz_white(pt_xyz xyz, pt_xyz white); /* any white; no adaptation */
pt_xyz pt_xyz_from_lab(pt_lab lab);
pt_lch pt_lch_from_lab(pt_lab lab);
pt_lab pt_lab_from_lch(pt_lch lch);
/* The hue angle as it is shown beside a C* of so many decimals: NAN where that C* is 0, never 360. */
double pt_hue_shown(pt_lch lch, int c_decimals, int h_decimals);

/* A CIEDE2000 difference from first to second, kL = kC = kH = 1.
 * dl, dc, dh are the signed weighted terms dL'/SL, dC'/SC, dH'/SH: de^2 = dl^2 + dc^2 + dh^2 + RT dc dh.
 * dh > 0 turns counter-clockwise (red to yellow to green to blue).
 * Source: CIE 142-2001; Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21. */
typedef struct pt_difference {
  double de00, dl, dc, dh;
} pt_difference;
pt_difference pt_difference_between(pt_lab from, pt_lab to);
double pt_de00(pt_lab from, pt_lab to);

/* The 3 x 3 matrix (row-major) that turns a small Lab difference at `at` into a vector whose length is its
 * CIEDE2000 (rotation term left out): SL, SC, SH and the stretch of a'. */
void pt_de00_metric(pt_lab at, double out[9]);

/* Words for a difference, as seen from `from`: "lighter, duller, turned toward red". Names only the parts
 * worth naming (over a fifth of the whole and over 0.3); "the same" below 0.3. Always terminated. */
void pt_difference_words(pt_lab from, pt_lab to, char *out, size_t room);
/* What a color must do to become the one aimed for: "it must get lighter, duller", or "as aimed" below 0.3.
 */
void pt_way_words(pt_lab now, pt_lab target, char *out, size_t room);
/* A plain name of a color for a person: "dark brown", "dull orange", "light gray". */
void pt_color_words(pt_lab color, char *out, size_t room);

/* ---- batches, float: n rows of 3, row-major; in and out may be the same array ------------------------ */

/* Within 1e-4 of pt_lab_from_xyz for XYZ up to 4. */
void pt_lab_from_xyz_rows(const float *xyz, size_t n, float *lab);
void pt_de00_rows(const float *from, const float *to, size_t n, float *de00);
/* Linear sRGB (unbounded) to XYZ D50. */
void pt_xyz_from_linear_rows(const float *rgb, size_t n, float *xyz);

/* ---- sRGB (IEC 61966-2-1), white adapted to D50 by Bradford as in the ICC sRGB profile --------------- */

double pt_srgb_decode(double encoded); /* 0..1 to linear, odd-symmetric below 0 */
double pt_srgb_encode(double linear);
pt_xyz pt_xyz_from_linear(const double rgb[3]);
void pt_linear_from_xyz(pt_xyz xyz, double rgb[3]);
pt_lab pt_lab_from_srgb8(const uint8_t rgb[3]); /* a library user's one color, exactly */
/* Nearest sRGB for the screen: chroma is lowered at constant L* and h until it fits. True when it fitted as
 * it was. */
bool pt_srgb8_from_lab(pt_lab lab, uint8_t rgb[3]);

/* ---- bands: spectral sampling ------------------------------------------------------------------------ */

#ifndef PT_BANDS
#define PT_BANDS 31 /* 400 to 700 nm by 10; 16 (by 20) is the other build option */
#endif
/* Weights of each band to XYZ under D50, CIE 1931 observer, tails folded into the end bands; a perfect white
 * of 1 in every band gives exactly (PT_D50_X, 1, PT_D50_Z). */
extern const double pt_band_xyz[PT_BANDS][3];
double pt_band_nm(size_t band);
pt_xyz pt_xyz_from_bands(const double reflectance[PT_BANDS]);

/* ---- ICC profiles through LittleCMS ------------------------------------------------------------------ */

/* Turns encoded pixels into linear sRGB floats (unbounded, D50-adapted), relative colorimetric. */
typedef struct pt_profile pt_profile;

typedef enum pt_pixel_kind {
  PT_PIXEL_GRAY,
  PT_PIXEL_RGB,
  PT_PIXEL_CMYK,
  PT_PIXEL_CMYK_INVERTED
} pt_pixel_kind;

/* icc, n   the embedded profile, or NULL, 0 for sRGB (gray: sRGB's curve)
 * bits     8 or 16 bits of every sample, native byte order
 * Errors   PT_BAD_INPUT a broken profile or one for another kind of pixel; PT_UNSUPPORTED CMYK without a
 * profile; PT_NO_MEMORY.  One per thread: it holds its own LittleCMS context. */
pt_status pt_profile_open(const void *icc, size_t n, pt_pixel_kind kind, int bits, pt_profile **out,
                          pt_error *err);
void pt_profile_close(pt_profile *profile);
const char *
pt_profile_title(const pt_profile *profile); /* "sRGB" or the profile's own description; borrowed */
/* n pixels of 1, 3 or 4 samples to n x 3 floats. */
void pt_profile_linear(const pt_profile *profile, const void *pixels, size_t n, float *rgb);

#endif
