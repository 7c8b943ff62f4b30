/* Inside card/: the model from samples, part by part, and how well it predicts what it has not seen. */
#ifndef DROPWISE_CARD_FIT_H
#define DROPWISE_CARD_FIT_H

#include "card/model.h"
#include "card/sample.h"

/* Tone curves from the grays, whose light the field scales.  Errors DW_REFUSED below 3
 * distinct grays */
dw_status dw__bend_fit(const dw__sample *s, size_t n, const double field[2], dw_curve curve[3],
                       dw_error *err);
/* Root-polynomial with its ridge toward the linear fit, given the model's curves and field.
 * out_error  n x 3 weighted CIEDE2000 vectors of the fit, or NULL */
dw_status dw__root_fit(const dw__sample *s, size_t n, dw__model *model, double *out_error, dw_error *err);

/* Curves, root-polynomial and, if asked, the field (from start, or NULL). Zeroes the residual.
 * scratch  room for 9 * n doubles */
typedef enum dw__field_kind { DW__FIELD_EVEN, DW__FIELD_SLOPE } dw__field_kind;
dw_status dw__model_fit(const dw__sample *s, size_t n, dw__field_kind kind, const double start[2],
                        double *scratch, dw__model *out, dw_error *err);
/* Adds the residual to a fitted model.  Errors DW_NO_MEMORY */
dw_status dw__residual_fit(const dw__sample *s, size_t n, dw__model *model, dw_error *err);

/* Errors of each sample predicted from the others, everything refitted.
 * plain, moved  n each: without and with the residual
 * Above twice DW__FOLDS samples DW__FOLDS groups of them are left out in turn.  Errors DW_NO_MEMORY,
 * DW_REFUSED */
enum { DW__FOLDS = 24 };
dw_status dw__leave_out(const dw__sample *s, size_t n, dw__field_kind kind, const double start[2],
                        double *plain, double *moved, dw_error *err);

#endif
