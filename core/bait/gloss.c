/* Streaks of gloss along a body, taken off the profile across it.
 *
 * A lamp mirrored in a round body runs along it as a bright line. It adds light of the lamp's color to what the
 * plastic gives (dichromatic reflection, Shafer 1985), so in linear light the line is what lies on both sides of
 * it, mixed, and white. A layer as slim whose color is just that is taken for gloss, too; wider ones are not. */
#include "bait/gloss.h"

#include "dropwise/color.h"

#include <math.h>

/* Places from one side of a streak to the other, both beside it. */
enum { ACROSS = DW_BAIT_PROFILE, WIDE = 8 };

/* It is lighter than what lies beside it by so much L*, and its color is explained to within so much, CIEDE2000
 * about, and such a share of that. */
#define LIGHTER_LEAST 4.0
#define OFF_MOST 1.5
#define OFF_SHARE 0.15
/* What is left of it may be off by such a share. */
#define LEFT_SHARE 0.3

static void linear_of(const double c[3], double out[3]) {
  dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){fmax(c[0], 0), c[1], c[2]}), out);
}

static dw_lab lab_of(const double rgb[3], double less) {
  double at[3];
  for (int k = 0; k < 3; k++) at[k] = rgb[k] - less;
  return dw_lab_from_xyz(dw_xyz_from_linear(at));
}

/* The white in `rgb` beyond a mixture of two others, by least squares; half of each where both are alike, by the small
 * numbers. */
static double white_over(const double rgb[3], const double a[3], const double b[3], double mix[3]) {
  double d[3], e[3], dd = 1e-4, ds = 0, de = 5e-5, es = 0;
  for (int k = 0; k < 3; k++) {
    d[k] = a[k] - b[k], e[k] = rgb[k] - b[k];
    dd += d[k] * d[k], ds += d[k], de += d[k] * e[k], es += e[k];
  }
  double share = fmin(fmax((3 * de - ds * es) / (3 * dd - ds * ds), 0), 1);
  for (int k = 0; k < 3; k++) mix[k] = b[k] + share * d[k];
  return (es - share * ds) / 3;
}

/* The luminance of a lightness. */
static double luminance_of(double lightness) {
  return dw_xyz_from_lab((dw_lab){.L = lightness}).Y;
}

/* How much lighter gloss makes the place j, L*, and the white that it adds; 0 where it is none. */
static double gloss_at(double (*rgb)[3], double (*profile)[3], size_t j, double *white) {
  double most = 0, mix[3];
  dw_lab seen = {profile[j][0], profile[j][1], profile[j][2]};
  double darker = luminance_of(seen.L - LIGHTER_LEAST);
  for (size_t left = 1; left < WIDE && left <= j; left++)
    for (size_t right = 1; left + right <= WIDE && j + right < ACROSS; right++) {
      double over = white_over(rgb[j], rgb[j - left], rgb[j + right], mix);
      if (!(over > 0) || dw_xyz_from_linear(mix).Y > darker) continue;
      double lighter = seen.L - lab_of(mix, 0).L;
      if (dw_de00(seen, lab_of(mix, -over)) > OFF_MOST + OFF_SHARE * lighter) continue;
      most = lighter, *white = over;
      darker = luminance_of(seen.L - most);
    }
  return most;
}

void dw__gloss_remove(double profile[DW_BAIT_PROFILE][3], double noise[DW_BAIT_PROFILE]) {
  double rgb[ACROSS][3], white[ACROSS] = {0}, lighter[ACROSS];
  for (size_t j = 0; j < ACROSS; j++) linear_of(profile[j], rgb[j]);
  for (size_t j = 0; j < ACROSS; j++) lighter[j] = gloss_at(rgb, profile, j, &white[j]);
  for (size_t j = 0; j < ACROSS; j++) {
    if (!(lighter[j] > 0)) continue;
    dw_lab left = lab_of(rgb[j], white[j]);
    profile[j][0] = left.L, profile[j][1] = left.a, profile[j][2] = left.b;
    if (noise) noise[j] = hypot(noise[j], LEFT_SHARE * lighter[j]);
  }
}
