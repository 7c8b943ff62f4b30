/* The book: what lies on the bench.  A bench is a pattern with the batch that is open for it, the photo at
 * hand with its marks, and the slab that is looked at.  Its cups are the batch's cups (book_pours.h), the
 * same rows that a command adds to: a batch may be open with nothing poured yet.
 *
 * Two tabs and a command line may work at once: drops are never lost, since each is a row of its own. */
#ifndef DROPWISE_BOOK_BENCH_H
#define DROPWISE_BOOK_BENCH_H

#include "dropwise/book_journal.h"
#include "dropwise/book_pours.h"

typedef struct dw_book_bench {
  int64_t id, pattern;
  int64_t batch;              /* the open one; 0: it was removed, dw_book_bench_next begins another */
  char photo[DW_SHA256_ROOM]; /* "" without one */
  char name[DW_PATTERN_NAME_ROOM], pattern_name[DW_PATTERN_NAME_ROOM];
  char updated[DW_TIME_ROOM];
  char *marks, *slab; /* JSON objects; owned, never NULL after a get */
} dw_book_bench;
void dw_book_bench_free(dw_book_bench *bench); /* frees what it owns and zeroes it */

/* In a transaction: begin, set, next and remove.
 * begin   opens a new batch of the pattern with a cup for each layer, of so much clear base and no drop
 * slab    JSON object, NULL for {} */
dw_status dw_book_bench_begin(dw_book *book, int64_t pattern, const char *name, double volume_floz,
                              double capacity_floz, const char *slab, int64_t *id, dw_error *err);
/* out  by dw_book_bench_free.  DW_NOT_FOUND */
dw_status dw_book_bench_get(dw_book *book, int64_t id, dw_book_bench *out, dw_error *err);
/* The one changed last first; without marks and slab (NULL). */
dw_status dw_book_bench_list(dw_book *book, dw_book_bench **out, size_t *n, dw_error *err);

/* What a change sets; NULL leaves it. */
typedef struct dw_book_bench_change {
  const char *name, *photo; /* photo: its hash, "" for none */
  const char *marks, *slab;
} dw_book_bench_change;
/* Errors DW_BAD_INPUT not a JSON object, a photo that the book does not know; DW_TOO_LARGE over 1 MiB */
dw_status dw_book_bench_set(dw_book *book, int64_t id, const dw_book_bench_change *change, dw_error *err);
/* The open batch is done (judge it before): another is opened, its cups of the size that these were begun
 * with. */
dw_status dw_book_bench_next(dw_book *book, int64_t id, dw_error *err);
/* With its batch where nothing was poured or read in it. */
dw_status dw_book_bench_remove(dw_book *book, int64_t id, dw_error *err);

#endif
