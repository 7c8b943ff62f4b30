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

/* ---- photos
 * ------------------------------------------------------------------------------------------------------- */

typedef struct pt_book_photo {
  const char *path;       /* where it lay when it was read */
  const char *sha256;     /* 64 digits */
  int width, height;      /* upright */
  const char *taken;      /* EXIF, or "" */
  const uint8_t *preview; /* a small JPEG, or NULL */
  size_t preview_bytes;
} pt_book_photo;
/* Keeps a photo's hash, place and preview; the same hash again gives the same id. In a transaction. */
pt_status pt_book_keep_photo(pt_book *book, const pt_book_photo *photo, int64_t *id, pt_error *err);

/* ---- patterns
 * ----------------------------------------------------------------------------------------------------- */

enum { PT_PATTERN_NAME_ROOM = 64, PT_PATTERN_LAYERS_MAX = 8, PT_TIME_ROOM = 24 };

typedef enum pt_target_how {
  PT_TARGET_PHOTO,
  PT_TARGET_PHOTOS,
  PT_TARGET_NUMBERS,
  PT_TARGET_LAYER
} pt_target_how;

typedef struct pt_target {
  pt_lab lab;
  double uncertainty_de00; /* of its reading, or the spread of several; 0 for numbers */
  pt_target_how how;
  int64_t photo;      /* its row, or 0 */
  const char *detail; /* JSON: marks and light of the photo, or the layer it was taken from; "{}" when none */
} pt_target;

typedef struct pt_pattern_layer {
  int64_t id;
  char name[PT_ID_ROOM];
  double see_through; /* wanted contrast ratio, or -1 */
  bool has_target;
  pt_lab target;
  double target_uncertainty_de00;
  pt_target_how target_how;
  char target_since[PT_TIME_ROOM];
} pt_pattern_layer;

typedef struct pt_pattern {
  int64_t id;
  char name[PT_PATTERN_NAME_ROOM];
  char note[256];
  char created[PT_TIME_ROOM];
  size_t batches;
  size_t n;
  pt_pattern_layer layer[PT_PATTERN_LAYERS_MAX]; /* in order, back first */
} pt_pattern;

/* In a transaction: add, rename, set and remove.
 * Errors PT_BAD_INPUT a name that is empty, too long, or there already; PT_NOT_FOUND */
pt_status pt_pattern_add(pt_book *book, const char *name, const char *note, const char *const *layers,
                         size_t n, int64_t *id, pt_error *err);
pt_status pt_pattern_rename(pt_book *book, const char *name, const char *fresh, pt_error *err);
pt_status pt_pattern_set_note(pt_book *book, const char *name, const char *note, pt_error *err);
/* contrast_ratio -1 takes the wish back */
pt_status pt_pattern_set_see_through(pt_book *book, int64_t layer, double contrast_ratio, pt_error *err);
/* With its targets, batches and readings. */
pt_status pt_pattern_remove(pt_book *book, const char *name, pt_error *err);
pt_status pt_pattern_find(pt_book *book, const char *name, pt_pattern *out, pt_error *err);
/* *out: n patterns by name, free()d by the caller; NULL for none */
pt_status pt_pattern_list(pt_book *book, pt_pattern **out, size_t *n, pt_error *err);
/* The layer of that name; PT_NOT_FOUND lists the layers that there are. */
pt_status pt_pattern_layer_find(const pt_pattern *pattern, const char *name, const pt_pattern_layer **out,
                                pt_error *err);

/* Sets a layer's target; the one before stays as history. In a transaction. */
pt_status pt_target_set(pt_book *book, int64_t layer, const pt_target *target, pt_error *err);

typedef struct pt_target_past {
  pt_lab lab;
  double uncertainty_de00;
  pt_target_how how;
  char created[PT_TIME_ROOM];
  char detail[1024];
} pt_target_past;
/* Newest first; *out free()d by the caller. */
pt_status pt_target_history(pt_book *book, int64_t layer, pt_target_past **out, size_t *n, pt_error *err);
const char *pt_target_how_words(pt_target_how how); /* "from a photo" */

#endif
