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

#define DW__BOOK_APPLICATION_ID 0x4477626b

#endif
