/* Curves, root-polynomial and the slope of the light over the board, fitted together.
 *
 * A lamp or window beside the board lights its near side more. Over a card that is a light of
 * exp(field . place), and the colors of the patches show it: it scales what the grays say of the tone curve
 * and what every patch reflects, so it is found as the pair of numbers that lets all patches agree. */
#include "card/fit.h"

#include <math.h>

/* Slopes over the card's longer side expected before looking (natural log). */
#define SLOPE_DEVIATION 0.15
#define SLOPE_MAX 0.8
#define SLOPE_STEP 0.01
enum { SLOPE_ROUNDS = 4, SLOPE_ROUNDS_STARTED = 2 };

static dw_status even_fit(const dw__sample *s, size_t n, const double field[2], dw__model *model,
                          double *error, dw_error *err) {
  model->field[0] = field[0];
  model->field[1] = field[1];
  dw_status status = dw__bend_fit(s, n, field, model->curve, err);
  return status == DW_OK ? dw__root_fit(s, n, model, error, err) : status;
}

/* One Gauss-Newton step of the two slopes; error holds 3 n for here and twice 3 n for the steps aside. */
static dw_status slope_step(const dw__sample *s, size_t n, double field[2], double *error, dw__model *model,
                            dw_error *err) {
  dw_status status = even_fit(s, n, field, model, error, err);
  for (size_t k = 0; k < 2 && status == DW_OK; k++) {
    double aside[2] = {field[0], field[1]};
    aside[k] += SLOPE_STEP;
    status = even_fit(s, n, aside, model, error + 3 * n * (k + 1), err);
  }
  if (status != DW_OK) return status;
  const double prior = 1.0 / (SLOPE_DEVIATION * SLOPE_DEVIATION);
  double a = prior, b = 0.0, c = prior, ra = -field[0] * prior, rb = -field[1] * prior;
  for (size_t i = 0; i < 3 * n; i++) {
    const double j0 = (error[3 * n + i] - error[i]) / SLOPE_STEP,
                 j1 = (error[6 * n + i] - error[i]) / SLOPE_STEP;
    a += j0 * j0;
    b += j0 * j1;
    c += j1 * j1;
    ra -= j0 * error[i];
    rb -= j1 * error[i];
  }
  const double det = a * c - b * b; /* positive: the prior alone makes it so */
  field[0] = fmin(fmax(field[0] + (c * ra - b * rb) / det, -SLOPE_MAX), SLOPE_MAX);
  field[1] = fmin(fmax(field[1] + (a * rb - b * ra) / det, -SLOPE_MAX), SLOPE_MAX);
  return DW_OK;
}

dw_status dw__model_fit(const dw__sample *s, size_t n, dw__field_kind kind, const double start[2],
                        double *scratch, dw__model *out, dw_error *err) {
  double field[2] = {0.0, 0.0};
  dw__model model = {0};
  dw_status status = DW_OK;
  if (kind == DW__FIELD_SLOPE) {
    if (start != NULL) {
      field[0] = start[0];
      field[1] = start[1];
    }
    const int rounds = start != NULL ? SLOPE_ROUNDS_STARTED : SLOPE_ROUNDS;
    for (int round = 0; round < rounds && status == DW_OK; round++)
      status = slope_step(s, n, field, scratch, &model, err);
  }
  if (status == DW_OK) status = even_fit(s, n, field, &model, NULL, err);
  if (status == DW_OK) *out = model;
  return status;
}
