/* The few things that every part of the book does with SQLite. */
#ifndef POURTONE_BOOK_SQL_H
#define POURTONE_BOOK_SQL_H

#include "pourtone/book.h"

#include <sqlite3.h>

struct pt_book {
  sqlite3 *db;
  char *path;
  bool in_transaction;
};

/* Words what SQLite refused: result is its code, doing completes "... while DOING". */
pt_status pt__book_fail(const pt_book *book, int result, const char *doing, pt_error *err);

/* ---- statements -------------------------------------------------------------------------------------------
 * types  one letter a value: t const char * (NULL binds NULL), i int64_t, r int64_t row (0 binds NULL),
 *        d double (NAN binds NULL), b const void * and size_t (NULL binds NULL) */

typedef struct pt__query {
  pt_book *book;
  sqlite3_stmt *stmt;
} pt__query;
pt_status pt__query_open(pt_book *book, const char *sql, pt__query *out, pt_error *err, const char *types,
                         ...);
/* *row: whether there is another row. */
pt_status pt__query_next(pt__query *query, bool *row, pt_error *err);
void pt__query_close(pt__query *query);                        /* fine on a zeroed one */
double pt__query_number(const pt__query *query, int column);   /* NAN for NULL */
int64_t pt__query_integer(const pt__query *query, int column); /* 0 for NULL */
bool pt__query_null(const pt__query *query, int column);
/* "" for NULL; until the next call on query */
const char *pt__query_text(const pt__query *query, int column);
void pt__query_copy(const pt__query *query, int column, char *out, size_t room); /* cut to room */
pt_lab pt__query_lab(const pt__query *query, int column);                        /* of three columns */

/* A statement that gives no rows. id, when not NULL, gets the row id of an insert. */
pt_status pt__book_run(pt_book *book, int64_t *id, pt_error *err, const char *sql, const char *types, ...);
/* As pt__book_run for one row known to be there: PT_NOT_FOUND with missing when no row was changed. */
pt_status pt__book_change(pt_book *book, const char *missing, pt_error *err, const char *sql,
                          const char *types, ...);
/* The first column of the first row; PT_NOT_FOUND with missing as its sentence when there is none. */
pt_status pt__book_integer(pt_book *book, int64_t *out, const char *missing, pt_error *err, const char *sql,
                           const char *types, ...);

/* Fills one element from a query's row. */
typedef pt_status (*pt__row_reader)(const pt__query *query, void *element, pt_error *err);
/* All rows as one block of elements of `size` bytes, zeroed before they are read.
 * out  where the block's address goes: a pointer to a pointer to the element's type; left alone, as *n, on
 * error */
pt_status pt__book_list(pt_book *book, size_t size, pt__row_reader read, void *out, size_t *n, pt_error *err,
                        const char *sql, const char *types, ...);
/* The first row; PT_NOT_FOUND with missing as its sentence when there is none. */
pt_status pt__book_row(pt_book *book, pt__row_reader read, void *element, const char *missing, pt_error *err,
                       const char *sql, const char *types, ...);

/* ---- values -------------------------------------------------------------------------------------------- */

/* Now, UTC, "2026-05-01T14:03:22Z" */
void pt__book_now(char out[PT_TIME_ROOM]);
/* 1 to room - 1 bytes, no control characters, no blanks at its ends; what names the thing in messages. */
pt_status pt__name_check(const char *what, const char *name, size_t room, pt_error *err);
/* May be empty, hold line ends, and be PT_BOOK_NOTE_ROOM - 1 bytes long. */
bool pt__utf8_valid(const char *text);
pt_status pt__note_check(const char *note, pt_error *err);
pt_status pt__lab_check(const char *what, pt_lab lab, pt_error *err);
/* A JSON document of at most PT__JSON_MAX bytes that begins with `kind`, '{' or '['; NULL is fine. */
enum { PT__JSON_MAX = 1 << 20 };
pt_status pt__json_check(const char *what, const char *text, char kind, pt_error *err);
pt_status pt__number_check(const char *what, double value, double min, double max, pt_error *err);

/* "2026-05-01T14:03:22Z" */
pt_status pt__time_check(const char *time, pt_error *err);
/* PT_NOT_FOUND no such batch, PT_BAD_INPUT a layer of another pattern */
pt_status pt__layer_of_batch(pt_book *book, int64_t batch, int64_t layer, pt_error *err);

#endif
