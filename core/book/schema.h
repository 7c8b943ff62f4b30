/* The book's schema as a list of steps, each from one version to the next. */
#ifndef DROPWISE_BOOK_SCHEMA_H
#define DROPWISE_BOOK_SCHEMA_H

#include <stddef.h>

/* dw__book_steps[i] brings version i to i + 1; a released step never changes. */
extern const char *const dw__book_steps[];
extern const int dw__book_step_count;

/* "Dwbk": marks the file as a book (PRAGMA application_id). */
/* The step that brings works to benches, from here on in C: dw__works_move. */
enum { DW__BOOK_BENCH_STEP = 7 };

/* Bottles that came from the starter shelf before this was written down; a bottle of the maker's own got its
 * name as title. */
enum { DW__BOOK_STARTER_STEP = 10 };
#define DW__MARK_STARTER                                                                                     \
  "UPDATE bottle SET look = slug, starter = 1 WHERE (slug, title) IN (VALUES ('brown', 'Brown'),"            \
  " ('orange', 'Orange'), ('yellow', 'Yellow'), ('red', 'Red'), ('melon-green', 'Melon green'),"             \
  " ('blue', 'Blue'), ('purple', 'Purple'), ('pink', 'Pink'), ('white', 'White'), ('black', 'Black'),"       \
  " ('chartreuse', 'Chartreuse'), ('pearl', 'Pearl')) AND"

#define DW__BOOK_APPLICATION_ID 0x4477626b

#endif
