/* From what was read to what the book keeps: shared by the command line and the page. */
#ifndef POURTONE_APP_KEEP_H
#define POURTONE_APP_KEEP_H

#include "app/marks.h"
#include "pourtone/book_pours.h"

enum { PT_KEPT_PREVIEW_SIDE = 320 }; /* longest side of the picture that stays in the book */

/* A photo as it was read, ready to be kept. */
typedef struct pt_read_photo {
  pt_photo_reading reading;
  pt_marks marks;
  char sha256[PT_SHA256_ROOM];
  uint8_t *jpeg; /* a small preview; owned */
  size_t jpeg_bytes;
} pt_read_photo;

/* Reads the marked layers of a photo and makes what the book keeps of it.
 * out  the caller's, pt__read_photo_free; large: on the heap.  Errors as pt__flow_read */
pt_status pt__read_photo(const char *path, const pt_marks *marks, pt_read_photo *out, pt_error *err);
void pt__read_photo_free(pt_read_photo *photo); /* what it owns, not itself */
/* The layer of that name, or NULL. */
const pt_layer_reading *pt__read_photo_layer(const pt_read_photo *photo, const char *name);
/* PT_NOT_FOUND: the photo has no such layer; which ones it has. */
pt_status pt__read_photo_lacks(const pt_read_photo *photo, const char *name, pt_error *err);
/* {"photo": sha256, "taken", "marks", "light", "layer"}: how a target was obtained; a new reference or NULL.
 */
json_t *pt__read_photo_detail(const pt_read_photo *photo, const char *layer);

/* Each in a transaction of the caller's. */
pt_status pt__keep_photo(pt_book *book, const pt_read_photo *photo, int64_t *id, pt_error *err);
/* The photo and this reading of it. */
pt_status pt__keep_look(pt_book *book, const pt_read_photo *photo, int64_t *look, pt_error *err);
/* Every layer of the pattern that the photo shows becomes a reading of the batch: of its cup's last pour,
 * which is logged first where the cup has none with all its additions. A photo read again for the same bait
 * takes the place of what it gave before. bait   which bait of the batch the
 * photo shows count  how many layers were found; PT_NOT_FOUND when none was */
pt_status pt__keep_readings(pt_book *book, const pt_pattern *pattern, int64_t batch,
                            const pt_read_photo *photo, const pt_shelf *shelf, const pt_slab *slab, int bait,
                            size_t *count, pt_error *err);

/* Logs a cup's pour with the color that the shelf predicts, unless its last pour holds the same additions
 * and was looked at in the same slab; *id is that pour.
 * slab  a part that is NAN is as in the cup's last pour, else that of 10 mm over gray */
pt_status pt__keep_pour(pt_book *book, int64_t cup, const pt_shelf *shelf, const pt_slab *slab, int64_t *id,
                        pt_error *err);
typedef struct pt__set_aside {
  size_t n;        /* readings */
  double off_de00; /* the farthest from what its drops give; 0 when only others of its photo are far */
} pt__set_aside;
/* A cup's pours as pt_pour_list, but measured is the mean of the readings that pt_readings_judge trusts, and
 * has_measured false without any.  aside  of the last pour */
pt_status pt__pours_trusted(pt_book *book, const pt_book_cup *cup, const pt_shelf *shelf, pt_pour_kept **out,
                            size_t *n, pt__set_aside *aside, pt_error *err);
/* "This is nowhere near ... Kept, but nothing was learned from it."; "" when nothing was set aside. */
void pt__aside_words(const pt__set_aside *aside, char *out, size_t room);
/* What a cup's last measured pour says of the cup as it is: its color now, that reading carried along where
 * drops were added since, and the uncertainty. Readings set aside count for nothing.  *found false when the
 * cup was never measured or can't be predicted. */
pt_status pt__cup_measured(pt_book *book, const pt_book_cup *cup, const pt_shelf *shelf, bool *found,
                           pt_lab *now, double *uncertainty_de00, pt_error *err);

#endif
