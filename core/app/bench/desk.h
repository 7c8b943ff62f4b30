/* Inside bench/: the book as requests use it, and what of it goes into answers. */
#ifndef DROPWISE_APP_BENCH_DESK_H
#define DROPWISE_APP_BENCH_DESK_H

#include "app/bench/server.h"

/* The one connection, for this request alone, in a transaction; dw__book_end in every case behind a DW_OK. */
dw_status dw__book_begin(dw_bench *bench, dw_error *err);         /* to write */
dw_status dw__book_begin_aside(dw_bench *bench, dw_error *err);   /* to write what is nobody's deed */
dw_status dw__book_begin_reading(dw_bench *bench, dw_error *err); /* to read one state */
/* Commits when status is DW_OK, else takes all back; returns the first failure. */
dw_status dw__book_end(dw_bench *bench, dw_status status, dw_error *err);
/* A DELETE of the row that stands for the path's ID, in a transaction of its own; answers 204. */
dw_status dw__book_remove(dw__exchange *x, dw_status (*remove)(dw_book *book, int64_t id, dw_error *err),
                          dw_error *err);

/* ---- a piece of work in a request that changes it ---------------------------------------------------------
 */

typedef struct dw__work {
  dw_work row;
  dw_pattern pattern;
  dw_shelf *shelf;
  dw_shelf *held;    /* the shelf and what the cups hold beside it; NULL when that is nothing */
  dw_book_mark mark; /* of the book as the request found it */
} dw__work;
/* To read and write cups with, not to predict with (dw_shelf_hold). */
const dw_shelf *dw__work_held(const dw__work *work);

/* Begins and loads the work of the address's ID. The body's "revision" must be the current one when it is
 * there (or `needed`); otherwise the answer is 409 with the work as it is.
 * On error everything is given back; behind DW_OK always dw__work_end. */
dw_status dw__work_begin(dw__exchange *x, bool needed, dw__work *work, dw_error *err);
/* Saves the change (NULL: none), commits, wakes those who wait, and answers with the work as it is then. */
dw_status dw__work_end(dw__exchange *x, dw__work *work, const dw_work_change *change, dw_status status,
                       dw_error *err);

/* ---- JSON: a new reference, or NULL when out of memory ----------------------------------------------------
 */

json_t *dw__work_json(const dw_work *work);
json_t *dw__pattern_json(const dw_pattern *pattern);
json_t *dw__color_words_json(dw_lab lab); /* "dark brown" */
/* SHELF: the bottles at hand, and those that can't be predicted yet.  Within a transaction. */
dw_status dw__shelf_json(dw_bench *bench, json_t **out, dw_error *err);
json_t *dw__parsed(const char *text); /* JSON from the book; null when it is none */

#endif
