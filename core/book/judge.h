/* Inside book/: measured pours and their readings, judged. */
#ifndef DROPWISE_BOOK_JUDGE_H
#define DROPWISE_BOOK_JUDGE_H

#include "dropwise/book_pours.h"

typedef struct dw__measured_pour {
  int64_t id;
  bool known;         /* the shelf has all its bottles */
  dw_recipe loadings; /* drops per fl oz */
  dw_slab slab;
  uint64_t old_lots; /* as dw_chip's */
} dw__measured_pour;

typedef struct dw__measured {
  size_t n, n_readings;
  dw__measured_pour *pour;    /* n, by id; owned */
  dw_reading_judged *reading; /* by pour; owned */
} dw__measured;

/* batch  0: of all.  out  dw__measured_free, on error too */
dw_status dw__measured_load(dw_book *book, int64_t batch, const dw_shelf *shelf, dw__measured *out,
                            dw_error *err);
void dw__measured_free(dw__measured *measured);

#endif
