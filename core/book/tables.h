/* Every table of the book as export and import see it. */
#ifndef POURTONE_BOOK_TABLES_H
#define POURTONE_BOOK_TABLES_H

#include <stdbool.h>
#include <stddef.h>

typedef enum pt__kind {
  PT__NAME,   /* text of 1 to room - 1 bytes without control characters */
  PT__NOTE,   /* a note */
  PT__TEXT,   /* any text below room bytes */
  PT__SLUG,   /* a bottle's name */
  PT__HASH,   /* a SHA-256 */
  PT__TIME,   /* "2026-05-01T14:03:22Z" */
  PT__WHOLE,  /* an integer from min to max */
  PT__REAL,   /* a number from min to max */
  PT__ROW,    /* the id of a row of another table */
  PT__BYTES,  /* base64 */
  PT__OBJECT, /* JSON */
  PT__ARRAY
} pt__kind;

typedef struct pt__column {
  const char *name;
  pt__kind kind;
  bool may_lack;     /* null is allowed */
  size_t room;       /* of text */
  double min, max;   /* of a number */
  const char *table; /* PT__ROW: which */
} pt__column;

/* What an import does with a row whose natural key the book has already. */
typedef enum pt__clash { PT__CLASH_NONE, PT__CLASH_SHARE, PT__CLASH_REFUSE } pt__clash;

typedef struct pt__table {
  const char *name;  /* of the table */
  const char *title; /* its key in the document */
  const pt__column *column;
  size_t n;
  pt__clash clash;
  const char *match[2]; /* columns of the natural key, where clash is not none */
  bool of_fit;          /* left out when the book has a fit of its own */
  int since;            /* the schema that brought it; older exports lack it */
} pt__table;

/* In an order in which every row refers to earlier tables only. */
extern const pt__table pt__tables[];
extern const size_t pt__table_count;
enum { PT__COLUMNS_MAX = 16, PT__TABLES_MAX = 24 };

#endif
