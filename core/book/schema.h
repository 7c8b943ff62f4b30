/* The book's schema as a list of steps, each from one version to the next. */
#ifndef POURTONE_BOOK_SCHEMA_H
#define POURTONE_BOOK_SCHEMA_H

#include <stddef.h>

/* pt__book_steps[i] brings version i to i + 1; a released step never changes. */
extern const char *const pt__book_steps[];
extern const int pt__book_step_count;

/* "Ptbk": marks the file as a book (PRAGMA application_id). */
#define PT__BOOK_APPLICATION_ID 0x5074626b

#endif
