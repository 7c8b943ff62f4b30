/* The book: batches, cups, additions, pours and readings; what drift and learning ask of them. */
#ifndef POURTONE_BOOK_POURS_H
#define POURTONE_BOOK_POURS_H

#include "pourtone/book_aims.h"
#include "pourtone/book_bottles.h"
#include "pourtone/drift.h"

/* ---- batches ------------------------------------------------------------------------------------------- */

enum { PT_BATCH_NAME_ROOM = 64 };

typedef struct pt_batch {
  int64_t id, pattern;
  char name[PT_BATCH_NAME_ROOM];
  char poured[PT_TIME_ROOM]; /* when it was begun */
  bool good;                 /* may serve for drift's limits */
  char note[PT_BOOK_NOTE_ROOM];
  double blend_mm; /* width of the blend between layers; NAN when not read */
} pt_batch;

/* In a transaction: begin, set, remove.
 * begin   a batch of that name, or the one that is there; name NULL or "": the next free number ("7")
 * poured  NULL: now */
pt_status pt_batch_begin(pt_book *book, int64_t pattern, const char *name, const char *poured, int64_t *id,
                         pt_error *err);
pt_status pt_batch_set_good(pt_book *book, int64_t id, bool good, pt_error *err);
pt_status pt_batch_set_note(pt_book *book, int64_t id, const char *note, pt_error *err);
pt_status pt_batch_set_blend(pt_book *book, int64_t id, double blend_mm, pt_error *err);
pt_status pt_batch_remove(pt_book *book, int64_t id, pt_error *err);
pt_status pt_batch_get(pt_book *book, int64_t id, pt_batch *out, pt_error *err);
/* By its name, or by the day it was begun ("2026-05-01") when it was the only one.
 * Errors PT_NOT_FOUND names those that there are; PT_BAD_INPUT several were begun that day */
pt_status pt_batch_find(pt_book *book, int64_t pattern, const char *name, pt_batch *out, pt_error *err);
/* In the order they were poured. */
pt_status pt_batch_list(pt_book *book, int64_t pattern, pt_batch **out, size_t *n, pt_error *err);

/* ---- cups ---------------------------------------------------------------------------------------------- */

typedef struct pt_book_cup {
  int64_t id, batch, layer;
  double begun_floz; /* clear base at the start */
  double volume_floz, capacity_floz;
  double temperature_f; /* NAN when not noted */
  size_t additions;
} pt_book_cup;

/* In a transaction: begin, set and add.
 * begin   a batch's cup for a layer, empty but for volume_floz of clear base; PT_BAD_INPUT when it is there
 */
pt_status pt_book_cup_begin(pt_book *book, int64_t batch, int64_t layer, double volume_floz,
                            double capacity_floz, int64_t *id, pt_error *err);
/* PT_NOT_FOUND when the batch has none for that layer */
pt_status pt_book_cup_find(pt_book *book, int64_t batch, int64_t layer, pt_book_cup *out, pt_error *err);
pt_status pt_book_cup_set_temperature(pt_book *book, int64_t cup, double temperature_f, pt_error *err);
/* The next addition, of the bottle's lot at hand.  slug NULL: clear base, amount in fl oz; else drops.
 * A bottle of the starter shelf that the book does not know yet is added to the book.
 * Errors PT_NOT_FOUND no such bottle; PT_BAD_INPUT an amount out of range, the cup would run over */
pt_status pt_book_cup_add(pt_book *book, int64_t cup, const char *slug, double amount, pt_error *err);

/* What the cup holds at most; what is in it already may be more. */
pt_status pt_book_cup_set_capacity(pt_book *book, int64_t cup, double capacity_floz, pt_error *err);
/* So much of what was logged was never in the cup: taken out of the newest additions of that bottle (slug
 * NULL: of clear base, at last of what the cup was begun with).  Additions keep their places, one of nothing
 * may remain; pours that held them lose the color predicted of them.  In a transaction.
 * Errors PT_BAD_INPUT the cup was not given so much */
pt_status pt_book_cup_correct(pt_book *book, int64_t cup, const char *slug, double less, pt_error *err);

typedef struct pt_book_addition {
  char slug[PT_ID_ROOM]; /* "" for clear base */
  char lot[PT_LOT_NAME_ROOM];
  double drops, clear_floz;
  char added[PT_TIME_ROOM];
} pt_book_addition;
/* In order. */
pt_status pt_book_cup_additions(pt_book *book, int64_t cup, pt_book_addition **out, size_t *n, pt_error *err);
/* The cup as it is now, its drops as bottles of the shelf.
 * missing  bottles in it that the shelf lacks (and out leaves out); its color can't be predicted then */
pt_status pt_book_cup_now(pt_book *book, int64_t cup, const pt_shelf *shelf, pt_cup *out, size_t *missing,
                          pt_error *err);

/* ---- pours and readings -------------------------------------------------------------------------------- */

/* A cup as poured: with the additions it has by now. */
typedef struct pt_pour {
  int64_t cup;
  pt_slab slab;
  bool has_predicted;
  pt_lab predicted;
} pt_pour;
pt_status pt_pour_log(pt_book *book, const pt_pour *pour, int64_t *id, pt_error *err); /* in a transaction */

typedef struct pt_pour_kept {
  int64_t id;
  size_t additions; /* of its cup that were in it */
  pt_slab slab;
  bool has_predicted, has_measured;
  pt_lab predicted, measured; /* measured: mean of its readings */
  size_t readings;
  double uncertainty_de00; /* of measured */
  char poured[PT_TIME_ROOM];
} pt_pour_kept;
/* A cup's pours, oldest first. */
pt_status pt_pour_list(pt_book *book, int64_t cup, pt_pour_kept **out, size_t *n, pt_error *err);

/* One color read from one bait. */
typedef struct pt_book_reading {
  int64_t batch, layer;
  int64_t pour;      /* 0: not of a cup in the book */
  int64_t look;      /* pt_look_keep; 0: from numbers */
  int bait;          /* which bait of the batch, from 0; the same bait in another photo has the same number */
  const char *shape; /* the region, or NULL */
  pt_lab lab;
  double uncertainty_de00, spread_de00;
  double kept, gloss, flake; /* shares; NAN when not known */
} pt_book_reading;
/* From then on it counts instead of what the same photo (by its hash) said of that bait and layer in the
 * batch, unless the cup got more since; that one counts again when this is removed. In a transaction. Errors
 * PT_BAD_INPUT a color out of range, a layer of another pattern */
pt_status pt_reading_log(pt_book *book, const pt_book_reading *reading, int64_t *id, pt_error *err);

typedef struct pt_reading_kept {
  int64_t id, layer, pour;
  char layer_name[PT_ID_ROOM];
  char photo[PT_SHA256_ROOM]; /* "" from numbers */
  int bait;
  pt_lab lab;
  double uncertainty_de00, spread_de00;
  char taken[PT_TIME_ROOM];
} pt_reading_kept;
/* Takes a reading out; the batch's note says so where it has room. What was learned of it goes with the next
 * pt_book_learn.  In a transaction.  Errors PT_NOT_FOUND */
pt_status pt_reading_remove(pt_book *book, int64_t id, pt_error *err);
/* The readings logged last: all of one photo, or one from numbers. *out as pt_reading_list's.
 * batch, layer  0: of any of the pattern.  Errors PT_NOT_FOUND there is none */
pt_status pt_reading_last(pt_book *book, int64_t pattern, int64_t batch, int64_t layer, int64_t *of_batch,
                          pt_reading_kept **out, size_t *n, pt_error *err);
/* A batch's readings, by layer, bait and age. */
pt_status pt_reading_list(pt_book *book, int64_t batch, pt_reading_kept **out, size_t *n, pt_error *err);
/* Marks and light of a batch's newest photo, JSON objects, free()d by the caller, and its hash.
 * PT_NOT_FOUND when it has none */
pt_status pt_batch_look(pt_book *book, int64_t batch, char photo[PT_SHA256_ROOM], char **marks, char **light,
                        pt_error *err);

/* ---- what drift asks ----------------------------------------------------------------------------------- */

/* A bait of a batch: mean over the photos of it. */
typedef struct pt_bait_color {
  pt_lab lab;
  size_t readings;
} pt_bait_color;

typedef struct pt_batch_row {
  pt_batch batch;
  size_t readings, photos;
  size_t first_bait, baits; /* of pt_layer_history.bait */
  double temperature_f;     /* of the layer's cup; NAN */
} pt_batch_row;

/* One layer through all measured batches, in the order they were poured. Where a cup was poured, corrected
 * and poured again, only the readings of its last measured pour count. */
typedef struct pt_layer_history {
  size_t n;
  pt_batch_color *color; /* n, as pt_drift_check takes them */
  pt_batch_row *row;     /* n */
  size_t n_baits;
  pt_bait_color *bait;
  pt_repeatability repeat; /* of repeated photos of one bait, over all of the layer */
} pt_layer_history;
/* out  the caller's, pt_layer_history_free; n = 0 when nothing was measured */
pt_status pt_layer_history_load(pt_book *book, int64_t layer, pt_layer_history *out, pt_error *err);
void pt_layer_history_free(pt_layer_history *history); /* zeroed is fine */

/* Of each batch of a pattern: spread of its cups' temperatures (largest less smallest, over two cups at
 * least), and its blend's width; NAN where not known.  In the order they were poured. */
typedef struct pt_batch_heat {
  int64_t batch;
  double spread_f, blend_mm;
} pt_batch_heat;
pt_status pt_batch_heat_list(pt_book *book, int64_t pattern, pt_batch_heat **out, size_t *n, pt_error *err);

/* Which bottle was used from another lot than in the batch before, per batch of a pattern. */
typedef struct pt_lot_change {
  int64_t batch, layer;
  char slug[PT_ID_ROOM], from[PT_LOT_NAME_ROOM], to[PT_LOT_NAME_ROOM];
} pt_lot_change;
/* In the order the batches were poured. */
pt_status pt_lot_change_list(pt_book *book, int64_t pattern, pt_lot_change **out, size_t *n, pt_error *err);

/* ---- what learning asks -------------------------------------------------------------------------------- */

/* A reading of a pour, held against what its drops give (pt_pour_miss). */
typedef struct pt_reading_judged {
  int64_t id, pour, look;
  pt_lab lab;
  double uncertainty_de00;
  double off_de00; /* from what the drops give; NAN when the shelf lacks a bottle of them */
  bool far;        /* beyond what drops and doubt explain */
  bool aside;      /* it is, or another reading of the same photo: nothing is learned or corrected from it */
} pt_reading_judged;
/* The readings of a batch's pours (0: of all), by pour. */
pt_status pt_readings_judge(pt_book *book, int64_t batch, const pt_shelf *shelf, pt_reading_judged **out,
                            size_t *n, pt_error *err);

/* Every measured pour of bottles that the shelf has, as chips at their slab; readings
 * set aside by pt_readings_judge are left out.
 * new_lots  bits of bottles whose lot at hand no chip was made with
 * Errors PT_TOO_FEW there are none */
pt_status pt_pours_load(pt_book *book, const pt_shelf *shelf, pt_chip **out, size_t *n, uint64_t *new_lots,
                        pt_error *err);
/* Keeps what was learned as the strengths of the lots at hand, where it changed, and forgets what was learned
 * of bottles that no pour speaks of any more.  In a transaction. */
pt_status pt_learned_keep(pt_book *book, const pt_shelf *shelf, const pt_learned *learned, pt_error *err);
/* The two above and pt_strengths_learn between them: learns from all pours and applies it to the shelf too.
 * Each time anew, from the readings as they are: one that was removed has taught nothing.
 * out  without a pour to learn from all strengths are 1 */
pt_status pt_book_learn(pt_book *book, pt_shelf *shelf, pt_learned *out, pt_error *err);

#endif
