/* Inside book/: measured pours and their readings, judged. */
#ifndef POURTONE_BOOK_JUDGE_H
#define POURTONE_BOOK_JUDGE_H

#include "pourtone/book_pours.h"

typedef struct pt__measured_pour {
  int64_t id;
  bool known;         /* the shelf has all its bottles */
  pt_recipe loadings; /* drops per fl oz */
  pt_slab slab;
  uint64_t old_lots; /* as pt_chip's */
} pt__measured_pour;

typedef struct pt__measured {
  size_t n, n_readings;
  pt__measured_pour *pour;    /* n, by id; owned */
  pt_reading_judged *reading; /* by pour; owned */
} pt__measured;

/* batch  0: of all.  out  pt__measured_free, on error too */
pt_status pt__measured_load(pt_book *book, int64_t batch, const pt_shelf *shelf, pt__measured *out,
                            pt_error *err);
void pt__measured_free(pt__measured *measured);

#endif
