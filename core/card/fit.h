/* Inside card/: the model from samples, part by part, and how well it predicts what it has not seen. */
#ifndef POURTONE_CARD_FIT_H
#define POURTONE_CARD_FIT_H

#include "card/model.h"
#include "card/sample.h"

/* Tone curves from the grays, whose light the field scales.  Errors PT_REFUSED below 3
 * distinct grays */
pt_status pt__bend_fit(const pt__sample *s, size_t n, const double field[2], pt_curve curve[3],
                       pt_error *err);
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

/* Errors of each sample predicted from the others, everything refitted.
 * plain, moved  n each: without and with the residual
 * Above twice PT__FOLDS samples PT__FOLDS groups of them are left out in turn.  Errors PT_NO_MEMORY,
 * PT_REFUSED */
enum { PT__FOLDS = 24 };
pt_status pt__leave_out(const pt__sample *s, size_t n, pt__field_kind kind, const double start[2],
                        double *plain, double *moved, pt_error *err);

#endif
