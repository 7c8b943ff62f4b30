/* Inside book/: what the parts of an import share. */
#ifndef DROPWISE_BOOK_IMPORTING_H
#define DROPWISE_BOOK_IMPORTING_H

#include "book/sql.h"
#include "book/tables.h"

#include <jansson.h>

/* Old ids of a table, rising, and what they became; 0: left out. */
typedef struct dw__id_map {
  size_t n;
  int64_t *from, *to;
} dw__id_map;

typedef struct dw__importing {
  dw_book *book;
  const char *name; /* of the file */
  const dw__table *table;
  size_t entry; /* in the table, from 1, for messages */
  dw__id_map map[DW__TABLES_MAX];
  bool keep_ids; /* the table was empty: rows keep their numbers */
  bool skip_fits;
  bool into_nothing; /* the book was empty, its journal too */
  bool journal;      /* it was taken in */
  json_int_t schema; /* that the document was written by */
  dw_book_imported done;
  dw_error *err;
} dw__importing;

/* Words what is wrong with a column of the entry at hand. */
dw_status dw__import_wrong(dw__importing *im, const char *column, const char *what);
/* Binds a value of the document, checked, to a statement; a row's id as what it became. */
dw_status dw__import_bind(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                          const json_t *value);

#endif
