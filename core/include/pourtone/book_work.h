/* The book: work that lies on the bench, so that a reload, a second tab or another device sees the same. */
#ifndef POURTONE_BOOK_WORK_H
#define POURTONE_BOOK_WORK_H

#include "pourtone/book_aims.h"
#include "pourtone/book_pours.h"

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

/* Where the tables of batches, pours and what they taught end now: rows behind it were made since. */
enum { PT_BOOK_MADE_KINDS = 7 };
typedef struct pt_book_mark {
  int64_t last[PT_BOOK_MADE_KINDS];
} pt_book_mark;
pt_status pt_book_mark_get(pt_book *book, pt_book_mark *out, pt_error *err);

/* What a change sets; NULL leaves it. */
typedef struct pt_work_change {
  const char *name, *photo; /* photo: its hash, "" for none */
  const char *marks, *cups, *slab;
  const int64_t *batch;     /* 0: none.  An undo takes back what made and closed tell of it */
  const pt_book_mark *made; /* got in this transaction: what was made behind it is part of this step */
  const pt_batch *closed;   /* the batch that this step closes, as it was before */
} pt_work_change;
/* Changes a work that is still at `revision`, which grows by one; the state before is kept for undo.
 * In a transaction.
 * Errors PT_REFUSED somebody else changed it meanwhile (load it again); PT_BAD_INPUT not JSON of that kind, a
 * photo that the book does not know; PT_TOO_LARGE a part over 1 MiB; PT_NOT_FOUND */
pt_status pt_work_save(pt_book *book, int64_t id, int64_t revision, const pt_work_change *change,
                       pt_error *err);

/* What of the book beside the work went with a step taken back. */
typedef struct pt_work_undone {
  size_t readings;    /* taken out of their batch, with the pours they were of */
  bool batch_gone;    /* the step had begun it */
  bool opened;        /* the step had closed it: it lies on the bench again, judged as it was before */
  bool learned_since; /* strengths were learned from these readings afterwards: let pt_book_learn run */
} pt_work_undone;
/* Back to the state before the last change that was not taken back yet; the revision still grows. Bottles
 * that the book met in the step stay known. In a transaction.  Errors PT_REFUSED there is nothing to take
 * back, or others have added to the batch that the step made; PT_NOT_FOUND */
pt_status pt_work_undo(pt_book *book, int64_t id, pt_work_undone *out, pt_error *err);
pt_status pt_work_remove(pt_book *book, int64_t id, pt_error *err);

#endif
