/* The color that the shelf predicts of a cup. */
#ifndef DROPWISE_BATCH_CARRY_H
#define DROPWISE_BATCH_CARRY_H

#include "dropwise/batch.h"

dw_status dw__cup_predict(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, dw_lab *out,
                          dw_error *err);
/* Of a cup in the book as it is; *known false when a bottle in it is not on the shelf, or its loading is
 * beyond what can be predicted. */
dw_status dw__kept_cup_predict(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab,
                               bool *known, dw_lab *out, dw_error *err);

#endif
