/* Inside of core/card: patches as read, the model that maps them to the card's colors, and the light. */
#ifndef POURTONE_CARD_LIGHT_H
#define POURTONE_CARD_LIGHT_H

#include "pourtone/card.h"
#include "pourtone/numeric.h"

#include <math.h>

/* Square root that keeps the sign: photos in wide profiles have values below 0. */
static inline double pt__signed_root(double value) {
  return value >= 0.0 ? sqrt(value) : -sqrt(-value);
}

/* ---- places (place.c) ------------------------------------------------------------------------------------
 */

/* Grid coordinates (column, row; patch centers at whole numbers) to photo pixels, and back. */
pt_status pt__grid_to_photo(const pt_card *card, const pt_corners *corners, pt_homography *out,
                            pt_error *err);
pt_status pt__photo_to_grid(const pt_card *card, const pt_corners *corners, pt_homography *out,
                            pt_error *err);

/* Half the side of the sampled square, in grid units: half of the spacing, about 3/5 of a usual patch. */
#define PT__SAMPLED_HALF 0.25

/* Photo position to board units: 0, 0 at the middle of the four corners, 1 is the card's longer side. Bounded
 * by +-PT__BOARD_REACH, beyond which the light is taken as constant. */
#define PT__BOARD_REACH 1.5
typedef struct pt__board {
  double x, y, side_px;
} pt__board;
pt__board pt__board_from_corners(const pt_corners *corners);
void pt__board_at(const pt__board *board, double x, double y, double out[2]);

/* ---- one patch as read (patch.c) ------------------------------------------------------------------------
 */

typedef struct pt__reading {
  double rgb[3];    /* linear; mean of the pixels kept */
  double spread;    /* robust deviation, largest channel: about L* units */
  double high, low; /* shares with a sample clipped high, low */
  double set_aside; /* share of pixels far from the median: dust, gloss, an edge */
  size_t pixels;    /* looked at */
} pt__reading;

/* Robust color of patch i inside its sampled square.
 * scratch  room for 4 * PT__PATCH_PIXELS doubles */
enum { PT__PATCH_PIXELS = 1600 };
void pt__patch_read(const pt_patch *patch, const pt_homography *to_grid, double column, double row,
                    double *scratch, pt__reading *out);

/* ---- samples: patches that take part in a fit
 * --------------------------------------------------------------- */

typedef struct pt__sample {
  double rgb[3];    /* working values: linear, in wide primaries where the photo needs them */
  double place[2];  /* board units */
  pt_lab lab;       /* as the card has it */
  pt_xyz xyz;       /* the same */
  double metric[9]; /* turns a small XYZ error at xyz into a CIEDE2000 vector, row-major */
  double weight;    /* 1, less where a channel is clipped low */
  bool gray;        /* belongs to the gray ramp */
  size_t patch;     /* index in the card */
} pt__sample;

/* Linear sRGB to linear values of the Display P3 primaries (SMPTE EG 432-1, with white D65), derived from the
 * chromaticities. Many phones write such photos: their tone curve bends these channels, not those of sRGB,
 * and deep colors are below 0 in sRGB. May be in place. */
void pt__wide_from_linear(const double rgb[3], double out[3]);

/* Chroma below which a patch of a card counts as gray. */
#define PT__GRAY_CHROMA 5.0
bool pt__patch_gray(pt_lab lab);
/* Fills all but rgb and place. */
void pt__sample_target(pt__sample *sample, pt_lab lab);

/* ---- the model (bend.c, root.c, field.c, residual.c, model.c)
 * ------------------------------------------------ */

enum { PT__FEATURES = 6 };

/* A Gaussian process over Lab: corrections that fade with the distance from the patches. */
typedef struct pt__residual {
  size_t n;              /* 0: none */
  double *center, *pull; /* n x 3 each, Lab; one allocation, owned through center */
} pt__residual;

typedef struct pt__model {
  pt_curve curve[3];            /* signed sqrt of the photo's value to sqrt of reflectance */
  double field[2];              /* log of the light per board unit, x and y */
  double root[PT__FEATURES][3]; /* root-polynomial features to XYZ */
  pt__residual residual;
} pt__model;

/* Tone curves from the grays, whose light the field scales.  PT_TOO_FEW below 3 distinct grays. */
pt_status pt__bend_fit(const pt__sample *s, size_t n, const double field[2], pt_curve curve[3],
                       pt_error *err);
/* One linear value to reflectance. */
double pt__bend_at(const pt_curve *curve, double value);
double pt__field_gain(const double field[2], const double place[2]);
/* Linear light of a sample or pixel: bent and relieved of the field. */
void pt__model_reflectance(const pt__model *model, const double rgb[3], const double place[2], double out[3]);
void pt__root_features(const double reflectance[3], double out[PT__FEATURES]);
/* Without the residual; place NULL: the card's middle. */
void pt__model_xyz(const pt__model *model, const double rgb[3], const double place[2], double out[3]);

/* Root-polynomial with its ridge toward the linear fit, given the model's curves and field.
 * out_error  n x 3 weighted CIEDE2000 vectors of the fit, or NULL */
pt_status pt__root_fit(const pt__sample *s, size_t n, pt__model *model, double *out_error, pt_error *err);
/* Curves, root-polynomial and, if asked, the field (from start, or NULL). Zeroes the residual.
 * scratch  room for 9 * n doubles */
typedef enum pt__field_kind { PT__FIELD_EVEN, PT__FIELD_SLOPE } pt__field_kind;
pt_status pt__model_fit(const pt__sample *s, size_t n, pt__field_kind kind, const double start[2],
                        double *scratch, pt__model *out, pt_error *err);
/* Adds the residual to a fitted model.  Errors PT_NO_MEMORY */
pt_status pt__residual_fit(const pt__sample *s, size_t n, pt__model *model, pt_error *err);
void pt__residual_free(pt__residual *residual);
/* Moves a Lab as the residual says; nothing where there is none. */
pt_lab pt__residual_at(const pt__residual *residual, pt_lab lab);
/* The whole model: working values at a place (NULL: the card's middle) to Lab. */
pt_lab pt__model_lab(const pt__model *model, const double rgb[3], const double place[2]);

/* ---- leave-one-out (leave.c) ------------------------------------------------------------------------------
 */

/* Errors of each sample predicted from the others, everything refitted.
 * plain, moved  n each: without and with the residual
 * Above PT__FOLDS samples every PT__FOLDS-th is left out together.  Errors PT_NO_MEMORY, PT_TOO_FEW */
enum { PT__FOLDS = 24 };
pt_status pt__leave_out(const pt__sample *s, size_t n, pt__field_kind kind, const double start[2],
                        double *plain, double *moved, pt_error *err);

/* ---- what is wrong with the picture (judge.c)
 * ------------------------------------------------------------------ */

/* Flags patches that cannot take part and says why in notes; refuses when too many or the lightest gray.
 * usable  rows * cols */
pt_status pt__readings_judge(const pt_card *card, const pt__reading *readings, bool *usable, pt_notes *notes,
                             pt_error *err);
/* Refuses a gray ramp that does not rise. */
pt_status pt__grays_judge(const pt_card *card, const pt__sample *s, size_t n, pt_error *err);
/* True when the four corner patches fit far better in another order: words for the order to try. */
bool pt__corners_suggest(const pt_card *card, const pt_corners *corners, const pt__reading *readings,
                         char *out, size_t room);
/* How many patches may be left out before the card is refused. */
size_t pt__patches_spare(const pt_card *card);

/* ---- the light (light.c, table.c)
 * ------------------------------------------------------------------------------- */

/* The model as tables for whole regions: tone curves by sqrt, the residual as XYZ ratios over a grid. */
enum { PT__TONE_STEPS = 1024, PT__SHADE_STEPS = 256, PT__CUBE = 25 };
typedef struct pt__table {
  float tone[3][PT__TONE_STEPS + 1]; /* sqrt of reflectance by even steps of sqrt of value */
  float root[PT__FEATURES][3];
  bool sloped, moved;
  float shade[2][PT__SHADE_STEPS + 1];          /* what undoes the slope, over the board's x and y */
  float ratio[PT__CUBE][PT__CUBE][PT__CUBE][4]; /* X, Y, Z and one that pads */
} pt__table;
void pt__table_make(const pt__model *model, pt__table *out);
/* wide: rgb is turned into the wide working values first.  x or y NULL: the card's middle. */
void pt__table_rows(const pt__table *table, const pt__board *board, bool wide, const float *rgb,
                    const float *x, const float *y, size_t n, float *xyz);

struct pt_light {
  pt_light_info info;
  double gain[3]; /* gray: rgb times this; none: 1 */
  double white[3];
  bool wide; /* card: the model works in wide primaries */
  pt__board board;
  pt__model model;  /* card only */
  pt__table *table; /* card only, owned */
  size_t n;         /* card: patches that took part */
  pt_lab lab[PT_CARD_PATCHES_MAX];
  double left_out[PT_CARD_PATCHES_MAX];
};
pt_status pt__light_new(pt_light_method method, const char *text, pt_light **out, pt_error *err);

#endif
