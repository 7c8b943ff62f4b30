/* The book: one SQLite file that holds patterns, targets, tones, bottles, pours, readings and photos'
 * previews.
 *
 * Every writing call belongs to a transaction: pt_book_begin .. pt_book_commit.  What was committed survives
 * a kill and a power cut (WAL, synchronous FULL).  Times are UTC, "2026-05-01T14:03:22Z".  Schema:
 * docs/file-formats.md#book A pt_book is one connection: one thread at a time. */
#ifndef POURTONE_BOOK_H
#define POURTONE_BOOK_H

#include "pourtone/drift.h"
#include "pourtone/mix.h"

typedef struct pt_book pt_book;

typedef enum pt_book_mode {
  PT_BOOK_READ, /* the file must be there; nothing is written */
  PT_BOOK_WRITE /* made when absent, brought to the newest schema */
} pt_book_mode;

/* Where the book lies when no place is given: $XDG_DATA_HOME/pourtone/book.db, else
 * ~/.local/share/pourtone/book.db. Errors PT_NOT_FOUND neither variable is set */
pt_status pt_book_default_path(char *out, size_t room, pt_error *err);

/* Opens, and with PT_BOOK_WRITE creates and migrates (after keeping a copy of the older book beside it).
 * path  NULL for the default place, whose folder is then made
 * Errors PT_NOT_FOUND, PT_CORRUPT (not a book, or damaged), PT_UNSUPPORTED (a newer program's book),
 * PT_LOCKED, PT_IO, PT_NO_MEMORY */
pt_status pt_book_open(const char *path, pt_book_mode mode, pt_book **out, pt_error *err);
void pt_book_close(pt_book *book); /* NULL is fine; rolls back what was not committed */
const char *pt_book_path(const pt_book *book);
int pt_book_schema_version(void); /* that this program writes */

/* One writer at a time; waits up to 5 s for another.  Errors PT_LOCKED, PT_IO */
pt_status pt_book_begin(pt_book *book, pt_error *err);
pt_status pt_book_commit(pt_book *book, pt_error *err);
void pt_book_rollback(pt_book *book); /* harmless without a transaction */

/* Runs SQLite's integrity and foreign key checks and the book's own (orders without gaps, colors in range).
 * found  one line a fault, appended; PT_CORRUPT when there is any, PT_OK otherwise */
pt_status pt_book_check(pt_book *book, pt_text *found, pt_error *err);
/* A consistent copy while others may be writing (online backup), checked after writing; never over an
 * existing file. Errors PT_BAD_INPUT the file is there, PT_IO, PT_CORRUPT the copy does not pass the check */
pt_status pt_book_backup(pt_book *book, const char *to, pt_error *err);
/* Puts a checked backup in place of the book at `path`; what was there is kept as path.before-restore-TIME.
 * kept  where it was kept; "" when nothing was there
 * Errors PT_CORRUPT the backup does not pass the check, PT_LOCKED the book is open elsewhere, PT_IO */
pt_status pt_book_restore(const char *from, const char *path, char *kept, size_t room, pt_error *err);

#endif
