/* Kubelka-Munk per band, the one forward model of predict, solve and fit. Shared inside core/mix. */
#ifndef DROPWISE_MIX_KM_H
#define DROPWISE_MIX_KM_H

#include "dropwise/mix.h"

#define DW__KM_FLOOR 1e-7 /* least K and S, per mm: keeps the slope at zero finite */

/* A slab and its surface, worked out once for all bands. */
typedef struct dw__km {
  double thickness_mm;
  double backing;     /* as the slab feels it: air gap included */
  double k2;          /* Saunderson, inner */
  double transmitted; /* (1 - k1)(1 - k2) */
} dw__km;

dw__km dw__km_view(const dw_surface *surface, const dw_slab *slab);

/* Reflectance outside, specular excluded, of DW_BANDS bands. K, S per mm; values below the floor count as the
 * floor. R may not overlap K or S.  Kubelka, J. Opt. Soc. Am. 38 (1948) 448; Saunderson, same 32 (1942) 727
 */
void dw__km_bands(const dw__km *view, const double *K, const double *S, double *R);

/* The same with its slopes dR/dK and dR/dS, each DW_BANDS; exact where K and S lie above the floor. */
void dw__km_bands_slopes(const dw__km *view, const double *K, const double *S, double *R, double *dR_dK,
                         double *dR_dS);

/* to += amount times from, K and S of every band. */
void dw__spectra_add(dw_spectra *to, double amount, const dw_spectra *from);

/* out = sum over bands of weights times R, for X, Y, Z. */
void dw__bands_sum(const double weights[3][DW_BANDS], const double *R, double out[3]);

/* Slopes of X, Y, Z along K and S of each band. */
typedef struct dw__sensitivity {
  double per_K[3][DW_BANDS], per_S[3][DW_BANDS];
} dw__sensitivity;

/* Slopes of X, Y, Z along a colorant: the sum over bands of per_K k + per_S s. */
void dw__bands_slope(const dw__sensitivity *sensitivity, const dw_spectra *colorant, double out[3]);

/* Slope dr/dRg of every band's inside reflectance by the backing's. Lossless where K, S lie above the floor.
 */
void dw__km_bands_backing_slope(const dw__km *view, const double *K, const double *S, double *slope);

#endif
