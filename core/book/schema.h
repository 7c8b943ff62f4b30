/* The book's schema as a list of steps, each from one version to the next. */
#ifndef DROPWISE_BOOK_SCHEMA_H
#define DROPWISE_BOOK_SCHEMA_H

#include <stddef.h>

/* dw__book_steps[i] brings version i to i + 1; a released step never changes. */
extern const char *const dw__book_steps[];
extern const int dw__book_step_count;
extern const char dw__book_digest[]; /* of a book of the newest version: dw__schema_digest (expected.h) */

enum {
  DW__BOOK_BENCH_STEP = 7,      /* brings works to benches, behind it in C: dw__works_move */
  DW__BOOK_PHRASES_STEP = 11,   /* packs the journal, behind it in C: dw__entries_take */
  DW__BOOK_LEFTOVERS_STEP = 12, /* drops what both moved: taken behind them, and so behind every other */
  DW__BOOK_HEAT_STEP = 14
};

/* Bottles that came from the starter shelf before this was written down; a bottle of the maker's own got its
 * name as title. */
enum { DW__BOOK_STARTER_STEP = 10 };
#define DW__MARK_STARTER                                                                                     \
  "UPDATE bottle SET look = slug, starter = 1 WHERE (slug, title) IN (VALUES ('brown', 'Brown'),"            \
  " ('orange', 'Orange'), ('yellow', 'Yellow'), ('red', 'Red'), ('melon-green', 'Melon green'),"             \
  " ('blue', 'Blue'), ('purple', 'Purple'), ('pink', 'Pink'), ('white', 'White'), ('black', 'Black'),"       \
  " ('chartreuse', 'Chartreuse'), ('pearl', 'Pearl')) AND"

/* "Dwbk": marks the file as a book (PRAGMA application_id). */
#define DW__BOOK_APPLICATION_ID 0x4477626b

#endif
