/* Inside bench/: the book as requests use it, and what of it goes into answers. */
#ifndef POURTONE_APP_BENCH_DESK_H
#define POURTONE_APP_BENCH_DESK_H

#include "app/bench/server.h"

/* The one connection, for this request alone, in a transaction; pt__book_end in every case behind a PT_OK. */
pt_status pt__book_begin(pt_bench *bench, pt_error *err);         /* to write */
pt_status pt__book_begin_reading(pt_bench *bench, pt_error *err); /* to read one state */
/* Commits when status is PT_OK, else takes all back; returns the first failure. */
pt_status pt__book_end(pt_bench *bench, pt_status status, pt_error *err);
/* A DELETE of the row that stands for the path's ID, in a transaction of its own; answers 204. */
pt_status pt__book_remove(pt__exchange *x, pt_status (*remove)(pt_book *book, int64_t id, pt_error *err),
                          pt_error *err);

/* ---- a piece of work in a request that changes it ---------------------------------------------------------
 */

typedef struct pt__work {
  pt_work row;
  pt_pattern pattern;
  pt_shelf *shelf;
  pt_shelf *held;    /* the shelf and what the cups hold beside it; NULL when that is nothing */
  pt_book_mark mark; /* of the book as the request found it */
} pt__work;
/* To read and write cups with, not to predict with (app/held.h). */
const pt_shelf *pt__work_held(const pt__work *work);

/* Begins and loads the work of the address's ID. The body's "revision" must be the current one when it is
 * there (or `needed`); otherwise the answer is 409 with the work as it is.
 * On error everything is given back; behind PT_OK always pt__work_end. */
pt_status pt__work_begin(pt__exchange *x, bool needed, pt__work *work, pt_error *err);
/* Saves the change (NULL: none), commits, wakes those who wait, and answers with the work as it is then. */
pt_status pt__work_end(pt__exchange *x, pt__work *work, const pt_work_change *change, pt_status status,
                       pt_error *err);

/* ---- JSON: a new reference, or NULL when out of memory ----------------------------------------------------
 */

json_t *pt__work_json(const pt_work *work);
json_t *pt__pattern_json(const pt_pattern *pattern);
json_t *pt__color_words_json(pt_lab lab); /* "dark brown" */
/* SHELF: the bottles at hand, and those that can't be predicted yet.  Within a transaction. */
pt_status pt__shelf_json(pt_bench *bench, json_t **out, pt_error *err);
json_t *pt__parsed(const char *text); /* JSON from the book; null when it is none */

#endif
