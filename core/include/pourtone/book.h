/* The book: one SQLite file that holds patterns, targets, tones, bottles, pours, readings and photos'
 * previews. This header opens it and cares for it; what lies in it: book_aims.h (patterns, targets, tones),
 * book_bottles.h, book_pours.h, book_work.h.
 *
 * Every writing call belongs to a transaction: pt_book_begin .. pt_book_commit; a reading command that wants
 * one state throughout begins one with pt_book_begin_reading.  What was committed survives a kill and a power
 * cut (WAL, synchronous FULL).  Times are UTC, "2026-05-01T14:03:22Z".  Lists that come back through `**out`
 * are one block each, free()d by the caller unless a function of their own is named; NULL when there are
 * none. Schema: docs/file-formats.md#book.  A pt_book is one connection: one thread at a time. */
#ifndef POURTONE_BOOK_H
#define POURTONE_BOOK_H

#include "pourtone/fit.h"

enum { PT_TIME_ROOM = 24, PT_SHA256_ROOM = 65, PT_BOOK_NOTE_ROOM = 256 };

typedef struct pt_book pt_book;

typedef enum pt_book_mode {
  PT_BOOK_READ, /* the file must be there, of the newest schema; nothing is written */
  PT_BOOK_WRITE /* made when absent, brought to the newest schema */
} pt_book_mode;

/* Where the book lies when no place is given: $XDG_DATA_HOME/pourtone/book.db, else
 * ~/.local/share/pourtone/book.db. Errors PT_NOT_FOUND neither variable is set */
pt_status pt_book_default_path(char *out, size_t room, pt_error *err);

/* Opens, and with PT_BOOK_WRITE creates and migrates (after keeping a copy of the older book beside it).
 * path  NULL for the default place, whose folder is then made
 * Errors PT_NOT_FOUND, PT_BAD_INPUT (a folder; its folder is not there), PT_CORRUPT (not a book, or damaged), PT_UNSUPPORTED (a newer program's book),
 * PT_LOCKED, PT_IO, PT_NO_MEMORY */
pt_status pt_book_open(const char *path, pt_book_mode mode, pt_book **out, pt_error *err);
void pt_book_close(pt_book *book); /* NULL is fine; rolls back what was not committed */
const char *pt_book_path(const pt_book *book);
int pt_book_schema_version(void); /* that this program writes */

/* One writer at a time; waits up to 5 s for another.
 * Errors PT_LOCKED in use, or another file was put in its place since it was opened; PT_IO */
pt_status pt_book_begin(pt_book *book, pt_error *err);
/* Everything read until the commit or rollback is of one moment; writers are not kept waiting. */
pt_status pt_book_begin_reading(pt_book *book, pt_error *err);
pt_status pt_book_commit(pt_book *book, pt_error *err);
void pt_book_rollback(pt_book *book); /* harmless without a transaction */

/* Runs SQLite's integrity and foreign key checks and the book's own (orders without gaps, colors in range).
 * found  one line a fault, appended; PT_CORRUPT when there is any, PT_OK otherwise */
pt_status pt_book_check(pt_book *book, pt_text *found, pt_error *err);
/* A consistent copy while others may be writing (online backup), checked after writing; never over an
 * existing file. Errors PT_BAD_INPUT the file is there, PT_IO, PT_CORRUPT the copy does not pass the check */
pt_status pt_book_backup(pt_book *book, const char *to, pt_error *err);
/* Puts a checked backup in place of the book at `path`; what was there is kept as path.before-restore-TIME
 * (a damaged one with its write-ahead log beside it, which is never applied to the restored file).
 * from  is left as it is; one of an older schema is brought up to date in the copy
 * kept  where it was kept; "" when nothing was there
 * Errors PT_CORRUPT the backup does not pass the check, PT_LOCKED the book is open elsewhere, PT_IO */
pt_status pt_book_restore(const char *from, const char *path, char *kept, size_t room, pt_error *err);

/* Everything in the book as one JSON document (docs/file-formats.md#export), byte for byte the same for the
 * same content. *out owned by the caller (free). */
pt_status pt_book_export(pt_book *book, char **out, size_t *n, pt_error *err);
/* Targets, tones and readings as CGATS.17 text, one table each.  *out owned by the caller (free).
 * Errors PT_TOO_FEW there is no color at all */
pt_status pt_book_export_cgats(pt_book *book, char **out, size_t *n, pt_error *err);

/* What an import brought, in rows. */
typedef struct pt_book_imported {
  size_t added, shared; /* shared: photos, bottles and lots that the book had already */
} pt_book_imported;
/* Takes an export in, in a transaction of the caller's: all of it or, on error, nothing (roll back then).
 * An empty book gets the very rows.  Into one that holds something: photos are joined by their hash, bottles
 * and their lots by their names, and stay as they are in the book; fits and what was learned are left out
 * when the book has its own; a pattern or tone whose name is there already refuses the whole. name   of the
 * file, for messages Errors PT_BAD_INPUT what and where, PT_TOO_LARGE, PT_UNSUPPORTED a newer program's,
 * PT_NO_MEMORY */
pt_status pt_book_import(pt_book *book, const char *text, size_t n, const char *name, pt_book_imported *out,
                         pt_error *err);

/* ---- photos and how they were read --------------------------------------------------------------------- */

typedef struct pt_book_photo {
  const char *path;       /* where it lay when it was read */
  const char *sha256;     /* 64 digits */
  int width, height;      /* upright */
  const char *taken;      /* EXIF, or "" */
  const uint8_t *preview; /* a small JPEG, or NULL */
  size_t preview_bytes;
} pt_book_photo;
/* Keeps a photo's hash, place and preview; the same hash again gives the same id. In a transaction. */
pt_status pt_photo_keep(pt_book *book, const pt_book_photo *photo, int64_t *id, pt_error *err);
/* PT_NOT_FOUND when the book does not know it */
pt_status pt_photo_find(pt_book *book, const char *sha256, int64_t *id, pt_error *err);

typedef struct pt_photo_kept {
  int64_t id;
  char sha256[PT_SHA256_ROOM];
  char path[512];
  int width, height;
  char taken[PT_TIME_ROOM], added[PT_TIME_ROOM];
  size_t preview_bytes; /* 0 without one */
} pt_photo_kept;
pt_status pt_photo_get(pt_book *book, int64_t id, pt_photo_kept *out, pt_error *err);
/* The small JPEG; *out owned by the caller (free).  PT_NOT_FOUND when none was kept */
pt_status pt_photo_kept_preview(pt_book *book, int64_t id, uint8_t **out, size_t *n, pt_error *err);

/* One reading of a photo: its marks and light, as JSON objects.  Readings refer to it.  In a transaction.
 * marks, light  NULL means {}.  Errors PT_BAD_INPUT not a JSON object */
pt_status pt_look_keep(pt_book *book, int64_t photo, const char *marks, const char *light, int64_t *id,
                       pt_error *err);

#endif
