/* The book: one SQLite file that holds patterns, targets, tones, bottles, pours, readings and photos'
 * previews. This header opens it and cares for it; what lies in it: book_aims.h (patterns, targets, tones),
 * book_bottles.h, book_pours.h, book_bench.h.
 *
 * Every writing call belongs to a transaction: dw_book_begin .. dw_book_commit; a reading command that wants
 * one state throughout begins one with dw_book_begin_reading.  What was committed survives a kill and a power
 * cut (WAL, synchronous FULL).  Times are UTC, "2026-05-01T14:03:22Z".  Lists that come back through `**out`
 * are one block each, free()d by the caller unless a function of their own is named; NULL when there are
 * none. Schema: docs/file-formats.md#book.  A dw_book is one connection: one thread at a time. */
#ifndef DROPWISE_BOOK_H
#define DROPWISE_BOOK_H

#include "dropwise/fit.h"

enum { DW_TIME_ROOM = 24, DW_BOOK_NOTE_ROOM = 256, DW_UNWANTED_ROOM = 512 };

typedef struct dw_book dw_book;

typedef enum dw_book_mode {
  DW_BOOK_READ, /* the file must be there, of the newest schema; nothing is written */
  DW_BOOK_WRITE /* made when absent, brought to the newest schema */
} dw_book_mode;

/* Where the book lies when no place is given: $XDG_DATA_HOME/dropwise/book.db, else
 * ~/.local/share/dropwise/book.db. Errors DW_NOT_FOUND neither variable is set */
dw_status dw_book_default_path(char *out, size_t room, dw_error *err);

/* Opens, and with DW_BOOK_WRITE creates and migrates (after keeping a copy of the older book beside it).
 * path  NULL for the default place, whose folder is then made
 * Errors DW_NOT_FOUND, DW_BAD_INPUT (a folder; its folder is not there), DW_CORRUPT (not a book, or damaged),
 * DW_UNSUPPORTED (a newer program's book), DW_LOCKED, DW_IO, DW_NO_MEMORY */
dw_status dw_book_open(const char *path, dw_book_mode mode, dw_book **out, dw_error *err);
void dw_book_close(dw_book *book); /* NULL is fine; rolls back what was not committed */
const char *dw_book_path(const dw_book *book);
int dw_book_schema_version(void); /* that this program writes */

/* One writer at a time; waits up to 5 s for another.
 * Errors DW_LOCKED in use, or another file was put in its place since it was opened; DW_IO */
dw_status dw_book_begin(dw_book *book, dw_error *err);
/* Everything read until the commit or rollback is of one moment; writers are not kept waiting. */
dw_status dw_book_begin_reading(dw_book *book, dw_error *err);
dw_status dw_book_commit(dw_book *book, dw_error *err);
void dw_book_rollback(dw_book *book); /* harmless without a transaction */

/* Runs SQLite's integrity and foreign key checks and the book's own (orders without gaps, colors in range).
 * found  one line a fault, appended; DW_CORRUPT when there is any, DW_OK otherwise */
dw_status dw_book_check(dw_book *book, dw_text *found, dw_error *err);
/* A consistent copy while others may be writing (online backup), checked after writing; never over an
 * existing file. Errors DW_BAD_INPUT the file is there, DW_IO, DW_CORRUPT the copy does not pass the check */
dw_status dw_book_backup(dw_book *book, const char *to, dw_error *err);
/* Puts a checked backup in place of the book at `path`; what was there is kept as path.before-restore-TIME
 * (a damaged one with its write-ahead log beside it, which is never applied to the restored file).
 * from  is left as it is; one of an older schema is brought up to date in the copy
 * kept  where it was kept; "" when nothing was there
 * Errors DW_CORRUPT the backup does not pass the check, DW_LOCKED the book is open elsewhere, DW_IO */
dw_status dw_book_restore(const char *from, const char *path, char *kept, size_t room, dw_error *err);

typedef enum dw_export { DW_EXPORT_ALL, DW_EXPORT_WITHOUT_JOURNAL } dw_export;
/* Everything in the book as one JSON document (docs/file-formats.md#export), byte for byte the same for the
 * same content. *out owned by the caller (free). */
dw_status dw_book_export(dw_book *book, dw_export what, char **out, size_t *n, dw_error *err);
/* Targets, tones and readings as CGATS.17 text, one table each.  *out owned by the caller (free).
 * Errors DW_TOO_FEW there is no color at all */
dw_status dw_book_export_cgats(dw_book *book, char **out, size_t *n, dw_error *err);

/* What an import brought, in rows. */
typedef struct dw_book_imported {
  size_t added, shared; /* shared: photos, bottles and lots that the book had already */
} dw_book_imported;
/* Takes an export in, in a transaction of the caller's: all of it or, on error, nothing (roll back then).
 * An empty book gets the very rows, and the journal where the document has it: that goes on as it was, and
 * the import is no entry of its own.  Into one that holds something: photos are joined by their hash, bottles
 * and their lots by their names, and stay as they are in the book; fits and what was learned are left out
 * when the book has its own, the journal always; a pattern or tone whose name is there already refuses the
 * whole.
 * name   of the file, for messages
 * Errors DW_BAD_INPUT what and where, DW_TOO_LARGE, DW_UNSUPPORTED a newer program's, DW_NO_MEMORY */
dw_status dw_book_import(dw_book *book, const char *text, size_t n, const char *name, dw_book_imported *out,
                         dw_error *err);

/* ---- photos and how they were read --------------------------------------------------------------------- */

typedef struct dw_book_photo {
  const char *path;       /* where it lay when it was read */
  const char *sha256;     /* 64 digits */
  int width, height;      /* upright */
  const char *taken;      /* EXIF, or "" */
  const uint8_t *preview; /* a small JPEG, or NULL */
  size_t preview_bytes;
} dw_book_photo;
/* Keeps a photo's hash, place and preview; the same hash again gives the same id. In a transaction. */
dw_status dw_photo_keep(dw_book *book, const dw_book_photo *photo, int64_t *id, dw_error *err);
/* DW_NOT_FOUND when the book does not know it */
dw_status dw_photo_find(dw_book *book, const char *sha256, int64_t *id, dw_error *err);

typedef struct dw_photo_kept {
  int64_t id;
  char sha256[DW_SHA256_ROOM];
  char path[512];
  int width, height;
  char taken[DW_TIME_ROOM], added[DW_TIME_ROOM];
  size_t preview_bytes; /* 0 without one */
} dw_photo_kept;
dw_status dw_photo_get(dw_book *book, int64_t id, dw_photo_kept *out, dw_error *err);
/* The small JPEG; *out owned by the caller (free).  DW_NOT_FOUND when none was kept */
dw_status dw_photo_kept_preview(dw_book *book, int64_t id, uint8_t **out, size_t *n, dw_error *err);

/* One reading of a photo: its marks and light, as JSON objects.  Readings refer to it.  In a transaction.
 * marks, light  NULL means {}.  Errors DW_BAD_INPUT not a JSON object */
dw_status dw_look_keep(dw_book *book, int64_t photo, const char *marks, const char *light, int64_t *id,
                       dw_error *err);

#endif
