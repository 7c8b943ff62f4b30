/* Inside bench/: what lies on the bench, in a request that reads or changes it. */
#ifndef DROPWISE_APP_BENCH_ON_BENCH_H
#define DROPWISE_APP_BENCH_ON_BENCH_H

#include "app/bench/answer_json.h"
#include "app/bench/transaction.h"

typedef struct dw__on_bench {
  dw_book_bench row;
  dw_pattern pattern;
} dw__on_bench;

/* Begins a transaction and loads the bench of the address's ID.
 * saw  what the body's "seen" is of: of WORK, which is checked (photo, marks, slab or batch are others by
 * now: the answer is 409 with WORK as it is), or of a cup, which the caller checks On error everything is
 * given back; behind DW_OK always dw__on_bench_end. */
typedef enum dw__saw { DW__SAW_CUP, DW__SAW_WORK } dw__saw;
dw_status dw__on_bench_begin(dw__exchange *x, dw__saw saw, dw__on_bench *out, dw_error *err);
/* Commits, wakes those who wait, and answers with WORK as it is then; with DW_REFUSED by 409 and WORK as it
 * is. */
dw_status dw__on_bench_end(dw__exchange *x, dw__on_bench *on, dw_status status, dw_error *err);
/* The bench of the address's ID and its pattern, outside of what changes them; *row is to be freed, on error too. */
dw_status dw__on_bench_look(dw__exchange *x, dw_book_bench *row, dw_pattern *pattern, dw_error *err);
/* What a photo of the bench's cups is kept by, in a transaction: the shelf (owned by the caller, on error too) and how the
 * plastic is looked at.  Errors as dw__cups_check */
dw_status dw__on_bench_shelf(dw__exchange *x, const dw__on_bench *on, dw_shelf **shelf, dw_slab *slab,
                             dw_error *err);
/* Answers with WORK as it is now, in a transaction of its own. */
dw_status dw__work_answer(dw__exchange *x, int64_t id, dw_error *err);

/* What a page saw, in 16 hexadecimal digits: who changes it says what it was, so that nothing is poured twice
 * and nobody's change is lost.  Of the row; of a cup with its additions; of all cups together. */
enum { DW__SEEN_ROOM = 17 };
void dw__on_bench_seen(const dw_book_bench *row, char out[DW__SEEN_ROOM]);
void dw__cup_seen(const dw_book_cup *cup, const dw_book_addition *list, size_t n, char out[DW__SEEN_ROOM]);
dw_status dw__cups_seen(dw_book *book, const dw__on_bench *on, char out[DW__SEEN_ROOM], dw_error *err);
/* The cups as they were when the photo was read ("cups_seen", as wanted): what is poured meanwhile is not on it.
 * Errors DW_REFUSED a cup is another by now */
dw_status dw__cups_check(dw__exchange *x, const dw__on_bench *on, dw_error *err);

#endif
