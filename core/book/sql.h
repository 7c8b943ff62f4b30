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

/* A prepared statement with its values bound.
 * types  one letter a value: t const char * (NULL binds NULL), i int64_t, d double (NAN binds NULL), b const
 * void * and size_t */
typedef struct pt__query {
  pt_book *book;
  sqlite3_stmt *stmt;
} pt__query;
pt_status pt__query_open(pt_book *book, const char *sql, pt__query *out, pt_error *err, const char *types,
                         ...);
/* *row: whether there is another row. */
pt_status pt__query_next(pt__query *query, bool *row, pt_error *err);
void pt__query_close(pt__query *query);                      /* fine on a zeroed one */
double pt__query_number(const pt__query *query, int column); /* NAN for NULL */
int64_t pt__query_integer(const pt__query *query, int column);
const char *pt__query_text(const pt__query *query,
                           int column); /* "" for NULL; until the next call on query */

/* A statement that gives no rows. id, when not NULL, gets the row id of an insert. */
pt_status pt__book_run(pt_book *book, int64_t *id, pt_error *err, const char *sql, const char *types, ...);
/* The first column of the first row; PT_NOT_FOUND with missing as its sentence when there is none. */
pt_status pt__book_integer(pt_book *book, int64_t *out, const char *missing, pt_error *err, const char *sql,
                           const char *types, ...);

/* Now, UTC, "2026-05-01T14:03:22Z" */
void pt__book_now(char out[24]);

/* Opens a file as it is: no creation, no migration. */
pt_status pt__book_connect(const char *path, int flags, pt_book **out, pt_error *err);

#endif
