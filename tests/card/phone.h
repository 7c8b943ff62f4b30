/* Simulated phones: measured camera sensitivities under a lamp, white balance, matrix, tone curve,
 * saturation, noise and 8 bits. */
#ifndef DROPWISE_TEST_PHONE_H
#define DROPWISE_TEST_PHONE_H

#include "dropwise/color.h"
#include "dropwise/numeric.h"

enum { WAVES = 61, CAMERAS = 8, SPECTRA = 190 }; /* 400 to 700 nm by 5 */

typedef struct lab_bench {
  double observer[WAVES][3]; /* reflectance to XYZ under D50 */
  double camera[CAMERAS][WAVES][3];
  double spectra[SPECTRA][WAVES];
  double daylight[WAVES];
} lab_bench;
/* False when the outside data is absent. */
bool lab_bench_load(lab_bench *bench);
dw_lab spectrum_lab(const lab_bench *bench, const double spectrum[WAVES]);
/* Card spectra near the 24 patches: products of powers of two measured spectra, flat grays.
 * used  marks the measured spectra that took part */
void spectra_card(const lab_bench *bench, double out[24][WAVES], bool used[SPECTRA]);

typedef enum lamp { LAMP_DAYLIGHT, LAMP_LED, LAMP_TUNGSTEN, LAMPS } lamp;
typedef enum phone_kind { PHONE_PLAIN, PHONE_VIVID, PHONE_KINDS } phone_kind;

typedef struct phone {
  double response[WAVES][3], matrix[9], balance[3], exposure, flare, contrast, saturation, twist[9];
  dw_random random;
} phone;
void phone_make(const lab_bench *bench, size_t camera, lamp light, phone_kind kind, uint64_t seed,
                phone *out);
/* One noisy pixel, linear sRGB; gain is the light at its place. */
void phone_see(phone *p, const double spectrum[WAVES], double gain, double rgb[3]);
/* The same averaged over n pixels. */
void phone_see_mean(phone *p, const double spectrum[WAVES], double gain, size_t n, double rgb[3]);

#endif
