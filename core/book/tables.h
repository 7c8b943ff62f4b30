/* Every table of the book as export and import see it. */
#ifndef DROPWISE_BOOK_TABLES_H
#define DROPWISE_BOOK_TABLES_H

#include <stdbool.h>
#include <stddef.h>

typedef enum dw__kind {
  DW__NAME,   /* text of 1 to room - 1 bytes without control characters */
  DW__NOTE,   /* a note */
  DW__TEXT,   /* any text below room bytes */
  DW__SLUG,   /* a bottle's name */
  DW__HASH,   /* a SHA-256 */
  DW__TIME,   /* "2026-05-01T14:03:22Z" */
  DW__WHOLE,  /* an integer from min to max */
  DW__REAL,   /* a number from min to max */
  DW__ROW,    /* the id of a row of another table */
  DW__BYTES,  /* base64 */
  DW__OBJECT, /* JSON */
  DW__ARRAY
} dw__kind;

typedef struct dw__column {
  const char *name;
  dw__kind kind;
  bool may_lack;     /* null is allowed */
  size_t room;       /* of text */
  double min, max;   /* of a number */
  const char *table; /* DW__ROW: which */
  int since;         /* the schema that brought it; older exports lack it. 0: with its table */
} dw__column;

/* What an import does with a row whose natural key the book has already. */
typedef enum dw__clash { DW__CLASH_NONE, DW__CLASH_SHARE, DW__CLASH_REFUSE } dw__clash;

enum { DW__MATCH_MAX = 4 };
typedef struct dw__table {
  const char *name;  /* of the table */
  const char *title; /* its key in the document */
  const dw__column *column;
  size_t n;
  dw__clash clash;
  const char *match[DW__MATCH_MAX]; /* columns of the natural key, where clash is not none */
  bool of_fit;                      /* left out when the book has a fit of its own */
  int since;                        /* the schema that brought it; older exports lack it */
  int moved;                        /* from this schema on its rows are elsewhere, too; 0: never */
  int until;                        /* the first schema that lacks it; 0: the book has it */
  const char *rows;                 /* what a SELECT is from, where that is not the table itself */
  const char *aside; /* where an import puts rows until C takes them on, in a table of its own */
  bool journal;      /* the journal itself, which an export may leave out */
} dw__table;

/* In an order in which every row refers to earlier tables only. */
extern const dw__table dw__tables[];
extern const size_t dw__table_count;
bool dw__table_watched(const dw__table *table); /* by the journal */
enum { DW__TABLES_MAX = 32 };

#endif
