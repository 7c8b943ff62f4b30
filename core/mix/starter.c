/* The starter shelf: invented bottles, each a few smooth curves, standing in until the maker's own are
 * fitted.
 *
 * No real product is behind any of them. They are drawn so that 4 drops per fl oz in 10 mm look like the name
 * says, and 0.5 to 12 drops go from see-through to opaque (common practice, no source). */
#include "mix/shelf.h"

#include <math.h>

/* An absorption: an edge (all wavelengths below `center` absorbed, over a width) or a band (a bell). */
typedef struct curve {
  enum { NONE, EDGE, BAND } kind;
  double height, center_nm, width_nm;
} curve;

typedef struct recipe_of_spectra {
  const char *id, *title;
  dw_role role;
  double k_floor;       /* per mm and drop per fl oz, at every wavelength */
  curve absorbs[3];     /* added to it */
  double s_blue, s_red; /* scattering at 400 and 700 nm, a straight line between */
} recipe_of_spectra;

/* clang-format off */
static const recipe_of_spectra starter[] = {
    {"brown", "Brown", DW_ROLE_BROWN, 0.0085,
     {{EDGE, 0.0600, 530, 32}, {EDGE, 0.0300, 615, 34}}, 0.0130, 0.0115},
    {"orange", "Orange", DW_ROLE_COLOR, 0.0004,
     {{EDGE, 0.1100, 556, 9}}, 0.0280, 0.0200},
    {"yellow", "Yellow", DW_ROLE_COLOR, 0.0003,
     {{EDGE, 0.1000, 492, 9}}, 0.0300, 0.0240},
    {"red", "Red", DW_ROLE_COLOR, 0.0004,
     {{EDGE, 0.1200, 592, 9}}, 0.0200, 0.0160},
    {"melon-green", "Melon green", DW_ROLE_COLOR, 0.0022,
     {{BAND, 0.0700, 420, 38}, {BAND, 0.0750, 650, 42}}, 0.0140, 0.0110},
    {"blue", "Blue", DW_ROLE_COLOR, 0.0012,
     {{BAND, 0.1000, 605, 45}, {EDGE, 0.0120, 412, 8}, {BAND, 0.0400, 690, 40}}, 0.0170, 0.0120},
    {"purple", "Purple", DW_ROLE_COLOR, 0.0020,
     {{BAND, 0.0900, 560, 38}, {BAND, 0.0180, 620, 30}}, 0.0150, 0.0120},
    {"pink", "Pink", DW_ROLE_COLOR, 0.0003,
     {{BAND, 0.0500, 535, 26}, {BAND, 0.0060, 440, 40}}, 0.0240, 0.0190},
    {"white", "White", DW_ROLE_WHITE, 0.0001,
     {{EDGE, 0.0150, 402, 5}}, 0.1150, 0.0900},
    {"black", "Black", DW_ROLE_BLACK, 0.1500,
     {{EDGE, 0.0200, 520, 60}}, 0.0030, 0.0025},
    {"chartreuse", "Chartreuse", DW_ROLE_COLOR, 0.0003,
     {{EDGE, 0.0850, 484, 9}, {BAND, 0.0120, 680, 48}}, 0.0270, 0.0210},
    {"pearl", "Pearl", DW_ROLE_EFFECT, 0.0003,
     {{NONE, 0, 0, 1}}, 0.0240, 0.0210},
};
/* clang-format on */

static double curve_at(const curve *c, double nm) {
  double x = (nm - c->center_nm) / c->width_nm;
  switch (c->kind) {
  case EDGE:
    return c->height / (1 + exp(x));
  case BAND:
    return c->height * exp(-x * x / 2);
  case NONE:
    break;
  }
  return 0;
}

static dw_bottle bottle_from(const recipe_of_spectra *r) {
  dw_bottle bottle = dw_bottle_blank(r->id, r->title, r->role);
  bottle.origin = DW_ORIGIN_INVENTED;
  for (size_t i = 0; i < DW_BANDS; i++) {
    double nm = dw_band_nm(i);
    bottle.spectra.k[i] = r->k_floor;
    for (size_t j = 0; j < sizeof r->absorbs / sizeof *r->absorbs; j++)
      bottle.spectra.k[i] += curve_at(&r->absorbs[j], nm);
    bottle.spectra.s[i] = r->s_blue + (r->s_red - r->s_blue) * (nm - 400) / 300;
  }
  return bottle;
}

dw_status dw_shelf_starter(dw_shelf **out, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = dw_shelf_new(&shelf, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < sizeof starter / sizeof *starter; i++)
    shelf->bottle[shelf->n++] = bottle_from(&starter[i]);
  *out = shelf;
  return DW_OK;
}
