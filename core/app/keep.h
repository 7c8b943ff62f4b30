/* From what was read to what the book keeps: shared by the command line and the page. */
#ifndef DROPWISE_APP_KEEP_H
#define DROPWISE_APP_KEEP_H

#include "app/marks.h"
#include "dropwise/book_pours.h"

enum { DW_KEPT_PREVIEW_SIDE = 320 }; /* longest side of the picture that stays in the book */

/* A photo as it was read, ready to be kept. */
typedef struct dw_read_photo {
  dw_photo_reading reading;
  dw_marks marks;
  char sha256[DW_SHA256_ROOM];
  uint8_t *jpeg; /* a small preview; owned */
  size_t jpeg_bytes;
} dw_read_photo;

/* Reads the marked layers of a photo and makes what the book keeps of it.
 * out  the caller's, dw__read_photo_free; large: on the heap.  Errors as dw__flow_read */
dw_status dw__read_photo(const char *path, const dw_marks *marks, dw_read_photo *out, dw_error *err);
void dw__read_photo_free(dw_read_photo *photo); /* what it owns, not itself */
/* The layer of that name, or NULL. */
const dw_layer_reading *dw__read_photo_layer(const dw_read_photo *photo, const char *name);
/* DW_NOT_FOUND: the photo has no such layer; which ones it has. */
dw_status dw__read_photo_lacks(const dw_read_photo *photo, const char *name, dw_error *err);
/* {"photo": sha256, "taken", "marks", "light", "layer"}: how a target was obtained; a new reference or NULL.
 */
json_t *dw__read_photo_detail(const dw_read_photo *photo, const char *layer);

/* Each in a transaction of the caller's. */
dw_status dw__keep_photo(dw_book *book, const dw_read_photo *photo, int64_t *id, dw_error *err);
/* The photo and this reading of it. */
dw_status dw__keep_look(dw_book *book, const dw_read_photo *photo, int64_t *look, dw_error *err);
/* Every layer of the pattern that the photo shows becomes a reading of the batch: of its cup's last pour,
 * which is logged first where the cup has none with all its additions. A photo read again for the same bait
 * takes the place of what it gave before. bait   which bait of the batch the
 * photo shows count  how many layers were found; DW_NOT_FOUND when none was */
dw_status dw__keep_readings(dw_book *book, const dw_pattern *pattern, int64_t batch,
                            const dw_read_photo *photo, const dw_shelf *shelf, const dw_slab *slab, int bait,
                            size_t *count, dw_error *err);

/* Logs a cup's pour with the color that the shelf predicts, unless its last pour holds the same additions
 * and was looked at in the same slab; *id is that pour.
 * slab  a part that is NAN is as in the cup's last pour, else that of 10 mm over gray */
dw_status dw__keep_pour(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab, int64_t *id,
                        dw_error *err);
typedef struct dw__set_aside {
  size_t n;        /* readings */
  double off_de00; /* the farthest from what its drops give; 0 when only others of its photo are far */
} dw__set_aside;
/* A cup's pours as dw_pour_list, but measured is the mean of the readings that dw_readings_judge trusts, and
 * has_measured false without any.  aside  of the last pour */
dw_status dw__pours_trusted(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, dw_pour_kept **out,
                            size_t *n, dw__set_aside *aside, dw_error *err);
/* "This is nowhere near ... Kept, but nothing was learned from it."; "" when nothing was set aside. */
void dw__aside_words(const dw__set_aside *aside, char *out, size_t room);
/* What a cup's last measured pour says of the cup as it is: its color now, that reading carried along where
 * drops were added since, and the uncertainty. Readings set aside count for nothing.  *found false when the
 * cup was never measured or can't be predicted. */
dw_status dw__cup_measured(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, bool *found,
                           dw_lab *now, double *uncertainty_de00, dw_error *err);

#endif
