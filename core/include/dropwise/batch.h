/* The life of a batch: its cups filled, poured, read and corrected, and the next one. */
#ifndef DROPWISE_BATCH_H
#define DROPWISE_BATCH_H

#include "dropwise/advise.h"
#include "dropwise/book_pours.h"
#include "dropwise/read.h"

/* ---- from what was read to what the book keeps --------------------------------------------------------- */

/* Each in a transaction of the caller's. */
dw_status dw_keep_photo(dw_book *book, const dw_read_photo *photo, int64_t *id, dw_error *err);
/* The photo and this reading of it. */
dw_status dw_keep_look(dw_book *book, const dw_read_photo *photo, int64_t *look, dw_error *err);
/* Every layer that the photo shows becomes a reading of the batch: of its cup's last pour, which is logged
 * first where the cup has none with all its additions. A photo read again for the same bait takes the place
 * of what it gave before.
 * bait   which bait of the batch the photo shows
 * Errors DW_BAD_INPUT a layer that the pattern lacks, and which it has */
dw_status dw_keep_readings(dw_book *book, const dw_pattern *pattern, int64_t batch,
                           const dw_read_photo *photo, const dw_shelf *shelf, const dw_slab *slab, int bait,
                           dw_error *err);

/* Logs a cup's pour with its predicted color, unless its last pour holds the same additions and was looked at
 * in the same slab; *id is that pour.
 * slab      a part that is NAN is as in the cup's last pour, else that of 10 mm over gray
 * expected  the color advised; NULL: as the shelf predicts it */
dw_status dw_keep_pour(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab,
                       const dw_lab *expected, int64_t *id, dw_error *err);

/* ---- which readings count, and what they say of a cup by now --------------------------------------------
 */

typedef struct dw_set_aside {
  size_t n;        /* readings */
  double off_de00; /* the farthest from what its drops give; 0 when only others of its photo are far */
} dw_set_aside;
/* A cup's pours as dw_pour_list, but measured is the mean of the readings that dw_readings_judge trusts, and
 * has_measured false without any.  aside  of the last pour */
dw_status dw_pours_trusted(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, dw_pour_kept **out,
                           size_t *n, dw_set_aside *aside, dw_error *err);
/* "This is nowhere near ... Kept, but nothing was learned from it."; "" when nothing was set aside. */
void dw_aside_words(const dw_set_aside *aside, char *out, size_t room);
/* What a cup's last measured pour says of the cup as it is: its color now, that reading carried along where
 * drops were added since, and the uncertainty. Readings set aside count for nothing.  *found false when the
 * cup was never measured or can't be predicted.
 * slab  of that pour; may be NULL */
dw_status dw_cup_measured(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, bool *found,
                          dw_lab *now, double *uncertainty_de00, dw_slab *slab, dw_error *err);

/* ---- a batch called good ---------------------------------------------------------------------------------- */

/* Which layers of the batch were measured: of one called good these count as good (for drift's limits and the
 * next cup), the others not until they are. */
dw_status dw_batch_layers_read(dw_book *book, const dw_pattern *pattern, int64_t batch,
                               bool read[DW_PATTERN_LAYERS_MAX], dw_error *err);
/* "Good: back; not measured, and not good until it is: belly." */
void dw_batch_good_words(const dw_pattern *pattern, const bool read[DW_PATTERN_LAYERS_MAX], dw_text *out);
/* ["back"]; a new reference, NULL when out of memory. */
json_t *dw_batch_good_json(const dw_pattern *pattern, const bool read[DW_PATTERN_LAYERS_MAX]);

/* ---- bottles that cups hold though the shelf has them no longer -----------------------------------------
 */

/* Adds what the batch's cups hold beside the shelf to it, behind the others, with the name and drop size that
 * the book knows, so that the cups can be read and printed.  Nothing is known of their color: predict nothing
 * of them (dw_book_shelf_hold adds those that can be predicted).  Those that the shelf has no room for are
 * left out. */
dw_status dw_shelf_add_blanks(dw_book *book, const dw_pattern *pattern, int64_t batch, dw_shelf *shelf,
                              dw_error *err);

#endif
