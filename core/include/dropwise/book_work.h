/* The book: work that lies on the bench, so that a reload, a second tab or another device sees the same. */
#ifndef DROPWISE_BOOK_WORK_H
#define DROPWISE_BOOK_WORK_H

#include "dropwise/book_aims.h"
#include "dropwise/book_pours.h"

enum { DW_WORK_STEPS_MAX = 100 }; /* that can be taken back */

typedef struct dw_work {
  int64_t id, revision;
  int64_t pattern;
  int64_t batch;              /* 0: not begun */
  char photo[DW_SHA256_ROOM]; /* "" without one */
  char name[DW_PATTERN_NAME_ROOM];
  char updated[DW_TIME_ROOM];
  bool can_undo;
  char *marks, *cups, *slab; /* JSON: object, array, object; owned, never NULL after a load */
} dw_work;
void dw_work_free(dw_work *work); /* frees what it owns and zeroes it */

/* In a transaction.  cups, slab: JSON, NULL for [] and {}.  The revision begins at 1. */
dw_status dw_work_add(dw_book *book, int64_t pattern, const char *name, const char *cups, const char *slab,
                      int64_t *id, dw_error *err);
/* out  by dw_work_free.  DW_NOT_FOUND */
dw_status dw_work_get(dw_book *book, int64_t id, dw_work *out, dw_error *err);
/* The revision alone: cheap enough to be asked again and again.  DW_NOT_FOUND */
dw_status dw_work_revision(dw_book *book, int64_t id, int64_t *revision, dw_error *err);

typedef struct dw_work_title {
  int64_t id, revision;
  char name[DW_PATTERN_NAME_ROOM], pattern[DW_PATTERN_NAME_ROOM], updated[DW_TIME_ROOM];
} dw_work_title;
/* The one changed last first. */
dw_status dw_work_list(dw_book *book, dw_work_title **out, size_t *n, dw_error *err);

/* Where the tables of batches, pours and what they taught end now: rows behind it were made since. */
enum { DW_BOOK_MADE_KINDS = 7 };
typedef struct dw_book_mark {
  int64_t last[DW_BOOK_MADE_KINDS];
} dw_book_mark;
dw_status dw_book_mark_get(dw_book *book, dw_book_mark *out, dw_error *err);

/* What a change sets; NULL leaves it. */
typedef struct dw_work_change {
  const char *name, *photo; /* photo: its hash, "" for none */
  const char *marks, *cups, *slab;
  const int64_t *batch;     /* 0: none.  An undo takes back what made and closed tell of it */
  const dw_book_mark *made; /* got in this transaction: what was made behind it is part of this step */
  const dw_batch *closed;   /* the batch that this step closes, as it was before */
} dw_work_change;
/* Changes a work that is still at `revision`, which grows by one; the state before is kept for undo.
 * In a transaction.
 * Errors DW_REFUSED somebody else changed it meanwhile (load it again); DW_BAD_INPUT not JSON of that kind, a
 * photo that the book does not know; DW_TOO_LARGE a part over 1 MiB; DW_NOT_FOUND */
dw_status dw_work_save(dw_book *book, int64_t id, int64_t revision, const dw_work_change *change,
                       dw_error *err);

/* What of the book beside the work went with a step taken back. */
typedef struct dw_work_undone {
  size_t readings;    /* taken out of their batch, with the pours they were of */
  bool batch_gone;    /* the step had begun it */
  bool opened;        /* the step had closed it: it lies on the bench again, judged as it was before */
  bool learned_since; /* strengths were learned from these readings afterwards: let dw_book_learn run */
} dw_work_undone;
/* Back to the state before the last change that was not taken back yet; the revision still grows. Bottles
 * that the book met in the step stay known. In a transaction.  Errors DW_REFUSED there is nothing to take
 * back, or others have added to the batch that the step made; DW_NOT_FOUND */
dw_status dw_work_undo(dw_book *book, int64_t id, dw_work_undone *out, dw_error *err);
dw_status dw_work_remove(dw_book *book, int64_t id, dw_error *err);

#endif
