/* Inside book/: what a transaction changed, as a record that takes it back.
 *
 * A record is one JSON object, its keys left out where they are empty:
 *   {"made": {"reading": [100, 102, 105, 105]},            rows that are there since: first, last, first,
 * last "were": {"batch": [{"id": 3, "note": ""}]},           rows that were changed, with the values before
 *    "gone": {"reading": [{"id": 7, "batch": 3, ...}]}}    rows that are there no more, whole
 * by the tables' names; numbers and texts as they are, bytes as base64.  Taking a record back gives the
 * record that brings it back. */
#ifndef DROPWISE_BOOK_RECORD_H
#define DROPWISE_BOOK_RECORD_H

#include "dropwise/book.h"

#include <sqlite3.h>

/* Begins to watch every table that dw__tables names, but for the journal itself.
 * *out  by sqlite3session_delete, before the book is closed */
dw_status dw__record_begin(dw_book *book, sqlite3_session **out, dw_error *err);
/* What changed since, net.  *out NULL when nothing did; owned by the caller (free) */
dw_status dw__record_take(dw_book *book, sqlite3_session *watched, char **out, dw_error *err);
/* Takes the record's changes back.  In a transaction without foreign key actions: what these did is in the
 * record.  Errors DW_CORRUPT the rows are not as the record says, roll back then */
dw_status dw__record_apply(dw_book *book, const char *record, dw_error *err);

#endif
