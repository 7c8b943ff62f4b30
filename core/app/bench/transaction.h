/* Inside bench/: the book as requests use it: the one connection, for one request at a time. */
#ifndef DROPWISE_APP_BENCH_TRANSACTION_H
#define DROPWISE_APP_BENCH_TRANSACTION_H

#include "app/bench/server.h"
#include "dropwise/book_aims.h"

/* The one connection, for this request alone, in a transaction; dw__book_end in every case behind a DW_OK. */
dw_status dw__book_begin(dw__exchange *x, dw_error *err);         /* to write what x asks for */
dw_status dw__book_begin_aside(dw_bench *bench, dw_error *err);   /* to write what is nobody's deed */
dw_status dw__book_begin_reading(dw_bench *bench, dw_error *err); /* to read one state */
/* Commits when status is DW_OK, else takes all back; returns the first failure.  Wakes those who wait for
 * news, and notes in the exchange whose change it was that the book holds it. */
dw_status dw__book_end(dw_bench *bench, dw_status status, dw_error *err);
/* The pattern that the request's body names, in a transaction of its own. */
dw_status dw__pattern_read(dw__exchange *x, dw_pattern *out, dw_error *err);
/* Another connection, in a transaction that reads one state: what takes its time holds up nobody's request.
 * *out  by dw_book_close, on error too */
dw_status dw__book_open_aside(dw_bench *bench, dw_book **out, dw_error *err);
/* A DELETE of the row that stands for the path's ID, in a transaction of its own; answers 204. */
dw_status dw__book_remove(dw__exchange *x, dw_status (*remove)(dw_book *book, int64_t id, dw_error *err),
                          dw_error *err);
/* dw_book_undo or dw_book_redo, with the connection for this request alone; a change as by dw__book_end. */
dw_status dw__book_step(dw__exchange *x,
                        dw_status (*step)(dw_book *book, int64_t id, dw_entry *out, dw_error *err),
                        int64_t id, dw_entry *out, dw_error *err);

#endif
