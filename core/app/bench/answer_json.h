/* Inside bench/: what of the book goes into answers.  Each a new reference, or NULL when out of memory. */
#ifndef DROPWISE_APP_BENCH_ANSWER_JSON_H
#define DROPWISE_APP_BENCH_ANSWER_JSON_H

#include "app/bench/server.h"

json_t *dw__pattern_json(const dw_pattern *pattern);
json_t *dw__color_words_json(dw_lab lab); /* "dark brown" */
/* SHELF: the bottles at hand, and those that can't be predicted yet.  Within a transaction. */
dw_status dw__shelf_json(dw_bench *bench, json_t **out, dw_error *err);
/* Sets "molds" in root.  Within a transaction. */
dw_status dw__molds_json(dw_bench *bench, json_t *root, dw_error *err);
json_t *dw__parsed(const char *text); /* JSON from the book; null when it is none, NULL when memory is out */

/* {"orange": 12}: drops of the additions, together by bottle. */
json_t *dw__additions_drops_json(const dw_book_addition *list, size_t n);
/* [{when, bottle, drops, lot} or {when, clear_floz}], in order. */
json_t *dw__additions_json(const dw_book_addition *list, size_t n);
/* WORK: the bench with its cups as the batch has them, and what undo and redo would take. In a transaction.
 * Errors DW_NOT_FOUND no such bench */
dw_status dw__work_json(dw_bench *bench, int64_t id, json_t **out, dw_error *err);

#endif
