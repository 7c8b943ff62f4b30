/* What a bottle's drops look like: by this a bottle is known on another shelf. */
#ifndef DROPWISE_BATCH_BOTTLE_LOOKS_H
#define DROPWISE_BATCH_BOTTLE_LOOKS_H

#include "dropwise/mix.h"

/* Its let-down of DW__LOOKS_LOADING drops per fl oz, DW__LOOKS_MM thick. */
#define DW__LOOKS_LOADING 4.0
#define DW__LOOKS_MM 3.0
typedef struct dw__bottle_looks {
  dw_lab over_white, over_black;
} dw__bottle_looks;
dw_status dw__bottle_looks_of(const dw_shelf *shelf, size_t bottle, dw__bottle_looks *out, dw_error *err);
/* The larger of the two distances, CIEDE2000. */
double dw__bottle_looks_apart(const dw__bottle_looks *a, const dw__bottle_looks *b);

#endif
