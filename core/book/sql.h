/* The few things that every part of the book does with SQLite. */
#ifndef DROPWISE_BOOK_SQL_H
#define DROPWISE_BOOK_SQL_H

#include "book/journal.h"
#include "dropwise/book.h"
#include "dropwise/mix.h"

#include <sqlite3.h>

/* A fit's shelf as its row has it, and parsed. NULL: none. */
typedef struct dw__fitted {
  char *text;
  dw_shelf *shelf;
} dw__fitted;

struct dw_book {
  sqlite3 *db;
  char *path;
  bool in_transaction, actions_off;
  int64_t checked_version; /* whose schema was found in it; 0: none yet */
  long worked;             /* how often the statement at hand was asked whether it goes on */
  bool unread; /* a text of a row could not be had for lack of memory, and nothing has said so yet */
  dw_door door;
  dw__draft draft;
  dw__fitted fitted;              /* the one that was parsed last: a page asks for it again and again */
  char kept[DW_ENTRY_WORDS_ROOM]; /* by the last commit */
};

void dw__fitted_free(dw__fitted *fitted);

/* DW_NO_MEMORY where `unread`, which is then said. */
dw_status dw__book_unread(dw_book *book, dw_error *err);
/* Words what SQLite refused: result is its code, doing completes "... while DOING". */
dw_status dw__book_fail(const dw_book *book, int result, const char *doing, dw_error *err);

/* A transaction that makes no entry. Without actions, what a foreign key does to other rows is left out: the
 * caller does that too. */
typedef enum dw__actions { DW__ACTIONS_ON, DW__ACTIONS_OFF } dw__actions;
dw_status dw__book_begin_bare(dw_book *book, dw__actions actions, dw_error *err);

/* ---- statements -------------------------------------------------------------------------------------------
 * types  one letter a value: t const char * (NULL binds NULL), i int64_t, r int64_t row (0 binds NULL),
 *        d double (NAN binds NULL), b const void * and size_t (NULL binds NULL) */

typedef struct dw__query {
  dw_book *book;
  sqlite3_stmt *stmt;
} dw__query;
dw_status dw__query_open(dw_book *book, const char *sql, dw__query *out, dw_error *err, const char *types,
                         ...);
/* *row: whether there is another row. */
dw_status dw__query_next(dw__query *query, bool *row, dw_error *err);
void dw__query_close(dw__query *query);                        /* fine on a zeroed one */
double dw__query_number(const dw__query *query, int column);   /* NAN for NULL */
int64_t dw__query_integer(const dw__query *query, int column); /* 0 for NULL */
bool dw__query_null(const dw__query *query, int column);
/* "" for NULL; until the next call on query. "" as well where memory is out: the next dw__query_next, the list or
 * row that is read, and the commit then fail, and so does dw__query_whole, for who can't wait for these. */
const char *dw__query_text(const dw__query *query, int column);
dw_status dw__query_whole(const dw__query *query, dw_error *err);
void dw__query_copy(const dw__query *query, int column, char *out, size_t room); /* cut to room */
dw_lab dw__query_lab(const dw__query *query, int column);                        /* of three columns */

/* A statement that gives no rows. id, when not NULL, gets the row id of an insert. */
dw_status dw__book_run(dw_book *book, int64_t *id, dw_error *err, const char *sql, const char *types, ...);
/* As dw__book_run for one row known to be there: DW_NOT_FOUND with missing when no row was changed. */
dw_status dw__book_change(dw_book *book, const char *missing, dw_error *err, const char *sql,
                          const char *types, ...);
/* The first column of the first row; DW_NOT_FOUND with missing as its sentence when there is none. */
dw_status dw__book_integer(dw_book *book, int64_t *out, const char *missing, dw_error *err, const char *sql,
                           const char *types, ...);

/* Fills one element from a query's row. */
typedef dw_status (*dw__row_reader)(const dw__query *query, void *element, dw_error *err);
/* All rows as one block of elements of `size` bytes, zeroed before they are read.
 * out  where the block's address goes: a pointer to a pointer to the element's type; left alone, as *n, on
 * error */
dw_status dw__book_list(dw_book *book, size_t size, dw__row_reader read, void *out, size_t *n, dw_error *err,
                        const char *sql, const char *types, ...);
/* The first row; DW_NOT_FOUND with missing as its sentence when there is none. */
dw_status dw__book_row(dw_book *book, dw__row_reader read, void *element, const char *missing, dw_error *err,
                       const char *sql, const char *types, ...);

/* ---- values -------------------------------------------------------------------------------------------- */

/* Now, UTC, "2026-05-01T14:03:22Z" */
void dw__book_now(char out[DW_TIME_ROOM]);
/* 1 to room - 1 bytes, no control characters, no blanks at its ends; what names the thing in messages. */
dw_status dw__name_check(const char *what, const char *name, size_t room, dw_error *err);
/* May be empty, hold line ends, and be DW_BOOK_NOTE_ROOM - 1 bytes long. */
bool dw__utf8_valid(const char *text);
dw_status dw__note_check(const char *note, dw_error *err);
dw_status dw__lab_check(const char *what, dw_lab lab, dw_error *err);
/* A JSON document of at most DW__JSON_MAX bytes that begins with `kind`, '{' or '['; NULL is fine. */
enum { DW__JSON_MAX = 1 << 20 };
dw_status dw__json_check(const char *what, const char *text, char kind, dw_error *err);
dw_status dw__number_check(const char *what, double value, double min, double max, dw_error *err);

/* "2026-05-01T14:03:22Z" */
dw_status dw__time_check(const char *time, dw_error *err);
/* DW_NOT_FOUND no such batch, DW_BAD_INPUT a layer of another pattern */
dw_status dw__layer_of_batch(dw_book *book, int64_t batch, int64_t layer, dw_error *err);

#endif
