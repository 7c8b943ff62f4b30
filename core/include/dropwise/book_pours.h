/* The book: batches, cups, additions, pours and readings; what drift and learning ask of them. */
#ifndef DROPWISE_BOOK_POURS_H
#define DROPWISE_BOOK_POURS_H

#include "dropwise/book_aims.h"
#include "dropwise/book_bottles.h"
#include "dropwise/drift.h"
#include "dropwise/json.h"

/* ---- batches ------------------------------------------------------------------------------------------- */

enum { DW_BATCH_NAME_ROOM = 64 };

typedef struct dw_batch {
  int64_t id, pattern;
  char name[DW_BATCH_NAME_ROOM];
  char poured[DW_TIME_ROOM]; /* when it was begun */
  bool good;                 /* may serve for drift's limits */
  char note[DW_BOOK_NOTE_ROOM];
  double blend_mm; /* width of the blend between layers; NAN when not read */
} dw_batch;

/* In a transaction: begin, set, remove.
 * begin   a batch of that name, or the one that is there; name NULL or "": the next free number ("7")
 * poured  NULL: now */
dw_status dw_batch_begin(dw_book *book, int64_t pattern, const char *name, const char *poured, int64_t *id,
                         dw_error *err);
dw_status dw_batch_set_good(dw_book *book, int64_t id, bool good, dw_error *err);
dw_status dw_batch_set_note(dw_book *book, int64_t id, const char *note, dw_error *err);
dw_status dw_batch_set_blend(dw_book *book, int64_t id, double blend_mm, dw_error *err);
/* Errors DW_BAD_INPUT there is a batch of that name */
dw_status dw_batch_rename(dw_book *book, int64_t id, const char *name, dw_error *err);
dw_status dw_batch_remove(dw_book *book, int64_t id, dw_error *err);
dw_status dw_batch_get(dw_book *book, int64_t id, dw_batch *out, dw_error *err);
/* By its name, or by the day it was begun ("2026-05-01") when it was the only one.
 * Errors DW_NOT_FOUND names those that there are; DW_BAD_INPUT several were begun that day */
dw_status dw_batch_find(dw_book *book, int64_t pattern, const char *name, dw_batch *out, dw_error *err);
/* Whether nothing was poured or read in it yet: it stands ready, as on the bench. */
dw_status dw_batch_empty(dw_book *book, int64_t id, bool *out, dw_error *err);
/* In the order they were poured. */
dw_status dw_batch_list(dw_book *book, int64_t pattern, dw_batch **out, size_t *n, dw_error *err);

/* ---- cups ---------------------------------------------------------------------------------------------- */

typedef struct dw_book_cup {
  int64_t id, batch, layer;
  double begun_floz; /* clear base at the start */
  double volume_floz, capacity_floz;
  double temperature_f; /* taken last (book_heat.h); NAN when not noted */
  size_t additions;
} dw_book_cup;

/* In a transaction: begin, set and add.
 * begin   a batch's cup for a layer, empty but for volume_floz of clear base: a new one, or the one that
 * stands ready without a drop; DW_BAD_INPUT when something is in it
 */
dw_status dw_book_cup_begin(dw_book *book, int64_t batch, int64_t layer, double volume_floz,
                            double capacity_floz, int64_t *id, dw_error *err);
/* DW_NOT_FOUND when the batch has none for that layer */
dw_status dw_book_cup_find(dw_book *book, int64_t batch, int64_t layer, dw_book_cup *out, dw_error *err);
/* The next addition, of the bottle's lot at hand.  slug NULL: clear base, amount in fl oz; else drops.
 * A bottle of the starter shelf that the book does not know yet is added to the book.
 * Errors DW_NOT_FOUND no such bottle; DW_BAD_INPUT an amount out of range, the cup would run over */
dw_status dw_book_cup_add(dw_book *book, int64_t cup, const char *slug, double amount, dw_error *err);

/* A batch's cups, in the order of the layers. *out as dw_batch_list's */
dw_status dw_book_cup_list(dw_book *book, int64_t batch, dw_book_cup **out, size_t *n, dw_error *err);

/* What the cup holds at most; what is in it already may be more. */
dw_status dw_book_cup_set_capacity(dw_book *book, int64_t cup, double capacity_floz, dw_error *err);
/* Passes where a cup of that capacity holds what is in this one.  Errors DW_BAD_INPUT it would run over */
dw_status dw_book_cup_check_room(dw_book *book, int64_t cup, double capacity_floz, dw_error *err);
/* So much of what was logged was never in the cup: taken out of the newest additions of that bottle (slug
 * NULL: of clear base, at last of what the cup was begun with).  Additions keep their places, one of nothing
 * may remain; pours that held them lose the color predicted of them.  In a transaction.
 * Errors DW_BAD_INPUT the cup was not given so much */
dw_status dw_book_cup_correct(dw_book *book, int64_t cup, const char *slug, double less, dw_error *err);

/* ---- corrections --------------------------------------------------------------------------------------- */

/* What was written down wrong, the old value kept in the journal; each in a transaction.
 * drops     the cup was given so many of the bottle in all (0: none). More than was logged counts as in its
 *           newest addition, or of a bottle that it lacks, as in the last pour
 * volume    of clear base at the start
 * move      the cup is of another batch or layer of the pattern, and with it its pours and their readings
 * reading   of another batch, layer or bait; of the pour that is last there
 * Pours whose contents change lose the color predicted of them.
 * Errors DW_BAD_INPUT out of range, there is a cup already, a layer of another pattern; DW_NOT_FOUND */
dw_status dw_book_cup_set_drops(dw_book *book, int64_t cup, const char *slug, double drops, dw_error *err);
dw_status dw_book_cup_set_volume(dw_book *book, int64_t cup, double begun_floz, dw_error *err);
dw_status dw_book_cup_move(dw_book *book, int64_t cup, int64_t batch, int64_t layer, dw_error *err);
dw_status dw_reading_move(dw_book *book, int64_t reading, int64_t batch, int64_t layer, int bait,
                          dw_error *err);

typedef struct dw_book_addition {
  char slug[DW_ID_ROOM]; /* "" for clear base */
  char lot[DW_LOT_NAME_ROOM];
  double drops, clear_floz;
  char added[DW_TIME_ROOM];
} dw_book_addition;
/* In order. */
dw_status dw_book_cup_additions(dw_book *book, int64_t cup, dw_book_addition **out, size_t *n, dw_error *err);
/* The cup of a batch for that layer, and all that it was given; zeroed, and nothing, where there is no such cup. */
dw_status dw_book_cup_contents(dw_book *book, int64_t batch, int64_t layer, dw_book_cup *cup,
                               dw_book_addition **list, size_t *n, dw_error *err);
/* The cup as it is now, its drops as bottles of the shelf.
 * missing  bottles in it that the shelf lacks (and out leaves out); its color can't be predicted then */
dw_status dw_book_cup_now(dw_book *book, int64_t cup, const dw_shelf *shelf, dw_cup *out, size_t *missing,
                          dw_error *err);

/* Adds to the shelf, behind its own bottles and marked off_shelf, what cups of the book hold beside it:
 * bottles taken off the shelf, and those that the newest fit does not know, with the spectra of the newest
 * fit that knows them, else of the starter shelf.  A bottle that nothing tells the color of stays away, and
 * so does what the shelf has no room for: a cup that holds it can't be predicted. A bottle that was fitted
 * anew is the one at hand: the newest fit knows best what its drops gave. */
dw_status dw_book_shelf_hold(dw_book *book, dw_shelf *shelf, dw_error *err);

/* ---- pours and readings -------------------------------------------------------------------------------- */

/* A cup as poured: with the additions it has by now. */
typedef struct dw_pour {
  int64_t cup;
  dw_slab slab;
  bool has_predicted;
  dw_lab predicted;
} dw_pour;
dw_status dw_pour_log(dw_book *book, const dw_pour *pour, int64_t *id, dw_error *err); /* in a transaction */

typedef struct dw_pour_kept {
  int64_t id;
  size_t additions; /* of its cup that were in it */
  dw_slab slab;
  bool has_predicted, has_measured;
  dw_lab predicted, measured; /* measured: mean of its readings */
  size_t readings;
  double uncertainty_de00; /* of measured */
  char poured[DW_TIME_ROOM];
} dw_pour_kept;
/* A cup's pours, oldest first. */
dw_status dw_pour_list(dw_book *book, int64_t cup, dw_pour_kept **out, size_t *n, dw_error *err);

/* The bait number of a color that was taken over from another pattern or book: it is no bait of this batch,
 * and teaches nothing of the bottles here. The highest that there is. */
enum { DW_BAIT_ELSEWHERE = 1000000 };
/* And of a color that drops of the batch's own cups tell (docs/drizzle.md): it corrects the cup until a bait of it is
 * read, but it leans on what is known of the bottles, so that it teaches nothing of them and is no part of drift. */
enum { DW_BAIT_DRIZZLED = DW_BAIT_ELSEWHERE - 1 };
/* Whether it is the number of a bait that was read. */
static inline bool dw_bait_read(int bait) {
  return bait < DW_BAIT_DRIZZLED;
}

/* One color read from one bait. */
typedef struct dw_book_reading {
  int64_t batch, layer;
  int64_t pour;      /* 0: not of a cup in the book */
  int64_t look;      /* dw_look_keep; 0: from numbers */
  int bait;          /* which bait of the batch, from 0; the same bait in another photo has the same number */
  const char *shape; /* the region, or NULL */
  dw_lab lab;
  double uncertainty_de00, spread_de00;
  double kept, gloss, flake; /* shares; NAN when not known */
  bool has_share;            /* it is of a swirl: */
  double share, share_doubt; /* of the bait */
} dw_book_reading;
/* From then on it counts instead of what the same photo (by its hash) said of that bait and layer in the
 * batch, unless the cup got more since; that one counts again when this is removed. In a transaction. Errors
 * DW_BAD_INPUT a color out of range, a layer of another pattern */
dw_status dw_reading_log(dw_book *book, const dw_book_reading *reading, int64_t *id, dw_error *err);

typedef struct dw_reading_kept {
  int64_t id, layer, pour;
  char layer_name[DW_ID_ROOM];
  char photo[DW_SHA256_ROOM]; /* "" from numbers */
  int bait;
  dw_lab lab;
  double uncertainty_de00, spread_de00;
  bool has_share;
  double share, share_doubt; /* of a swirl's color, of the bait */
  char taken[DW_TIME_ROOM];
} dw_reading_kept;
/* Takes a reading out; the batch's note says so where it has room. What was learned of it goes with the next
 * dw_book_learn.  In a transaction.  Errors DW_NOT_FOUND */
dw_status dw_reading_remove(dw_book *book, int64_t id, dw_error *err);
/* A batch's readings, by layer, bait and age. */
dw_status dw_reading_list(dw_book *book, int64_t batch, dw_reading_kept **out, size_t *n, dw_error *err);
/* Marks and light of a batch's newest photo, JSON objects, free()d by the caller, and its hash.
 * DW_NOT_FOUND when it has none */
dw_status dw_batch_look(dw_book *book, int64_t batch, char photo[DW_SHA256_ROOM], char **marks, char **light,
                        dw_error *err);

/* ---- what drift asks ----------------------------------------------------------------------------------- */

/* A bait of a batch: mean over the photos of it. */
typedef struct dw_bait_color {
  dw_lab lab;
  double share, share_doubt; /* of a swirl's color; NAN where it was not read as one */
  size_t readings;
} dw_bait_color;

typedef struct dw_batch_row {
  dw_batch batch;
  size_t readings, photos;
  size_t first_bait, baits;  /* of dw_layer_history.bait */
  size_t shares;             /* baits of which the share was read: of a swirl */
  double share, share_doubt; /* their mean; NAN without any */
  double temperature_f;      /* of the layer's cup; NAN */
} dw_batch_row;

/* One layer through all measured batches, in the order they were poured. Where a cup was poured, corrected
 * and poured again, only the readings of its last measured pour count. */
typedef struct dw_layer_history {
  size_t n;
  dw_batch_color *color; /* n, as dw_drift_check takes them */
  dw_batch_row *row;     /* n */
  size_t n_baits;
  dw_bait_color *bait;
  dw_repeatability repeat; /* of repeated photos of one bait, over all of the layer */
} dw_layer_history;
/* out  the caller's, dw_layer_history_free; n = 0 when nothing was measured */
dw_status dw_layer_history_load(dw_book *book, int64_t layer, dw_layer_history *out, dw_error *err);
void dw_layer_history_free(dw_layer_history *history); /* zeroed is fine */

/* Which bottle was used from another lot than in the batch before, per batch of a pattern. */
typedef struct dw_lot_change {
  int64_t batch, layer;
  char slug[DW_ID_ROOM], from[DW_LOT_NAME_ROOM], to[DW_LOT_NAME_ROOM];
} dw_lot_change;
/* In the order the batches were poured. */
dw_status dw_lot_change_list(dw_book *book, int64_t pattern, dw_lot_change **out, size_t *n, dw_error *err);

/* ---- what learning asks -------------------------------------------------------------------------------- */

/* A reading of a pour, held against what its drops give (dw_pour_miss). */
typedef struct dw_reading_judged {
  int64_t id, pour, look;
  int bait;
  dw_lab lab;
  double uncertainty_de00;
  double off_de00; /* from what the drops give; NAN when the shelf lacks a bottle of them */
  bool far;        /* beyond what drops and doubt explain */
  bool aside;      /* it is, or another reading of the same photo: nothing is learned or corrected from it */
} dw_reading_judged;
/* The readings of a batch's pours (0: of all), by pour. */
dw_status dw_readings_judge(dw_book *book, int64_t batch, const dw_shelf *shelf, dw_reading_judged **out,
                            size_t *n, dw_error *err);

/* Every measured pour of bottles that the shelf has, as chips at their slab; readings
 * set aside by dw_readings_judge are left out.
 * new_lots  bits of bottles whose lot at hand no chip was made with
 * Errors DW_TOO_FEW there are none */
dw_status dw_pours_load(dw_book *book, const dw_shelf *shelf, dw_chip **out, size_t *n, uint64_t *new_lots,
                        dw_error *err);
/* Keeps what was learned as the strengths of the lots at hand, where it changed, and forgets what was learned
 * of bottles that no pour speaks of any more.  In a transaction. */
dw_status dw_learned_keep(dw_book *book, const dw_shelf *shelf, const dw_learned *learned, dw_error *err);
/* The two above and dw_strengths_learn between them: learns from all pours and applies it to the shelf too.
 * What cups hold beside the shelf is added to it first (dw_book_shelf_hold): their pours go on teaching, but
 * for those of an invented bottle among fitted ones. Each time anew, from the readings as they are: one that
 * was removed has taught nothing.
 * out  without a pour to learn from all strengths are 1 */
dw_status dw_book_learn(dw_book *book, dw_shelf *shelf, dw_learned *out, dw_error *err);
/* The same with the book's shelf as it is now: behind a correction, a removal or a fit. */
dw_status dw_book_learn_anew(dw_book *book, dw_learned *out, dw_error *err);
/* Keeps a fit with its report (dw_fit_keep) and learns anew behind it.  In a transaction. */
dw_status dw_book_fit_adopt(dw_book *book, const dw_fit *fit, const json_t *report, dw_learned *out,
                            dw_error *err);

#endif
