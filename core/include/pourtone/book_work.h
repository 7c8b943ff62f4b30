/* The book: work that lies on the bench, so that a reload, a second tab or another device sees the same. */
#ifndef POURTONE_BOOK_WORK_H
#define POURTONE_BOOK_WORK_H

#include "pourtone/book_aims.h"

enum { PT_WORK_STEPS_MAX = 100 }; /* that can be taken back */

typedef struct pt_work {
  int64_t id, revision;
  int64_t pattern;
  int64_t batch;              /* 0: not begun */
  char photo[PT_SHA256_ROOM]; /* "" without one */
  char name[PT_PATTERN_NAME_ROOM];
  char updated[PT_TIME_ROOM];
  bool can_undo;
  char *marks, *cups, *slab; /* JSON: object, array, object; owned, never NULL after a load */
} pt_work;
void pt_work_free(pt_work *work); /* frees what it owns and zeroes it */

/* In a transaction.  cups, slab: JSON, NULL for [] and {}.  The revision begins at 1. */
pt_status pt_work_add(pt_book *book, int64_t pattern, const char *name, const char *cups, const char *slab,
                      int64_t *id, pt_error *err);
/* out  by pt_work_free.  PT_NOT_FOUND */
pt_status pt_work_get(pt_book *book, int64_t id, pt_work *out, pt_error *err);
/* The revision alone: cheap enough to be asked again and again.  PT_NOT_FOUND */
pt_status pt_work_revision(pt_book *book, int64_t id, int64_t *revision, pt_error *err);

typedef struct pt_work_title {
  int64_t id, revision;
  char name[PT_PATTERN_NAME_ROOM], pattern[PT_PATTERN_NAME_ROOM], updated[PT_TIME_ROOM];
} pt_work_title;
/* The one changed last first. */
pt_status pt_work_list(pt_book *book, pt_work_title **out, size_t *n, pt_error *err);

/* What a change sets; NULL leaves it. */
typedef struct pt_work_change {
  const char *name, *photo; /* photo: its hash, "" for none */
  const char *marks, *cups, *slab;
  const int64_t *batch; /* is not taken back by an undo: what was logged was logged */
} pt_work_change;
/* Changes a work that is still at `revision`, which grows by one; the state before is kept for undo.
 * In a transaction.
 * Errors PT_REFUSED somebody else changed it meanwhile (load it again); PT_BAD_INPUT not JSON of that kind, a
 * photo that the book does not know; PT_TOO_LARGE a part over 1 MiB; PT_NOT_FOUND */
pt_status pt_work_save(pt_book *book, int64_t id, int64_t revision, const pt_work_change *change,
                       pt_error *err);
/* Back to the state before the last change that was not taken back yet; the revision still grows.
 * In a transaction.  Errors PT_REFUSED there is nothing to take back; PT_NOT_FOUND */
pt_status pt_work_undo(pt_book *book, int64_t id, pt_error *err);
pt_status pt_work_remove(pt_book *book, int64_t id, pt_error *err);

#endif
