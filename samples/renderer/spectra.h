/* Spectra of the renderer: 380 to 730 nm by 10, the observer, lights, and CIELAB for D50. */
#ifndef RENDERER_SPECTRA_H
#define RENDERER_SPECTRA_H

enum { BANDS = 36 };

typedef struct spectrum {
  double v[BANDS];
} spectrum;
typedef struct xyz_color {
  double v[3];
} xyz_color;
typedef struct lab_color {
  double L, a, b;
} lab_color;

typedef enum light_kind { LIGHT_DAYLIGHT, LIGHT_LED, LIGHT_WARM } light_kind;

/* spectra_data.c */
extern const double observer[3][BANDS];    /* CIE 1931, 2 degree */
extern const double daylight[2][BANDS];    /* D50, D65 */
extern const double card_patch[24][BANDS]; /* reflectance, row-major, dark skin first */

double band_nm(int band);
double bell(double nm, double center, double width);    /* Gaussian of height 1; width is sigma */
double falling(double nm, double center, double width); /* 1 on the violet side, 0 on the red side */
spectrum spectrum_flat(double value);
spectrum light_power(light_kind kind);
const char *light_words(light_kind kind);

xyz_color xyz_of(const spectrum *reflectance);     /* under D50; Y of the perfect white is 1 */
lab_color lab_of(xyz_color xyz);                   /* white: D50 summed over these bands */
void linear_srgb_of(xyz_color d50, double rgb[3]); /* Bradford-adapted, unbounded */

#endif
