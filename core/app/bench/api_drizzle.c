/* The photo at hand shows drops of the cups on a white table: what they tell goes into the batch. docs/drizzle.md */
#include "app/bench/looks.h"
#include "app/bench/on_bench.h"
#include "app/bench/request.h"

#include "dropwise/batch_drizzle.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

typedef struct drizzled {
  dw_read_photo photo;
  dw_drizzle drizzle;
  dw_drops_judged judged;
  const char *order; /* as the option of the command, or NULL; the request's */
} drizzled;

/* ---- read, outside of any transaction ---------------------------------------------------------------------- */

static dw_status drops_read(dw__exchange *x, const dw_book_bench *row, const dw_drizzle_wish *wish,
                            drizzled *d, dw_error *err) {
  dw_photo *photo = NULL;
  json_t *marks = dw__parsed(row->marks);
  dw_status status = dw__marks_of(marks, &d->photo.marks, err);
  if (status == DW_OK && !d->photo.marks.card_set[0])
    status = dw_marks_set_card(&d->photo.marks, wish->card_set, err);
  if (status == DW_OK) status = dw__look_describe(x->bench, row->photo, &photo, &d->photo, err);
  if (status == DW_OK)
    status =
        dw_drizzle_in(photo, &d->photo.marks, wish, dw_photo_limits_default().max_bytes, &d->drizzle, err);
  dw_photo_close(photo);
  json_decref(marks);
  return status;
}

static dw_status photo_read(dw__exchange *x, drizzled *d, dw_error *err) {
  dw_book_bench row = {0};
  dw_pattern pattern;
  const char *name[DW_PATTERN_LAYERS_MAX];
  dw_drizzle_wish wish = {.card_set = DW_CARD_USUAL};
  dw_status status = dw__on_bench_look(x, &row, &pattern, err);
  if (status == DW_OK && !row.photo[0])
    status = dw_fail(err, DW_BAD_INPUT, "There is no photo yet: take one of the drops first.");
  if (status == DW_OK && pattern.n > DW_DRIZZLE_MAX)
    status = dw_fail(err, DW_BAD_INPUT, "At most %d drops can be read at once.", DW_DRIZZLE_MAX);
  for (size_t i = 0; status == DW_OK && i < pattern.n; i++) name[i] = pattern.layer[i].name;
  if (status == DW_OK) status = dw_drizzle_order(d->order, name, pattern.n, &wish, err);
  if (status == DW_OK) status = drops_read(x, &row, &wish, d, err);
  if (status == DW_NOT_FOUND && row.photo[0]) { /* no drops: the address was right */
    const char *said = strstr(err->text, ": ");
    char why[sizeof err->text];
    dw_copy_text(why, sizeof why, said ? said + 2 : err->text);
    why[0] = (char)toupper((unsigned char)why[0]);
    status = dw_fail(err, DW_BAD_INPUT, "%s", why);
  }
  if (status == DW_OK) dw_drizzle_arrange(name, pattern.n, &d->drizzle);
  dw_book_bench_free(&row);
  return status;
}

/* ---- kept ------------------------------------------------------------------------------------------------------ */

/* What is not kept is answered with what was seen: a page may ask about the order. */
static dw_status keepable(dw__exchange *x, drizzled *d, dw_error *err) {
  dw_copy_text(d->drizzle.reading.path, sizeof d->drizzle.reading.path, d->photo.reading.path);
  d->photo.reading = d->drizzle.reading;
  dw_copy_text(d->drizzle.reading.path, sizeof d->drizzle.reading.path,
               d->photo.sha256); /* all that a page knows of */
  dw_status status = dw_drops_keepable(&d->judged, d->order != NULL, &d->photo, err);
  if (status != DW_REFUSED) return status;
  x->json = json_pack("{s:o}", "drizzle", dw_json_drizzle(&d->drizzle, &d->judged));
  return dw_fail(err, DW_BAD_INPUT, "%s", d->judged.swapped && !d->order ? d->judged.swap_words : err->text);
}

static dw_status keep(dw__exchange *x, const dw__on_bench *on, drizzled *d, dw_error *err) {
  dw_book *book = x->bench->book;
  dw_drop_cup cup[DW_PATTERN_LAYERS_MAX];
  dw_shelf *shelf = NULL;
  dw_learned learned;
  dw_slab slab;
  dw_status status = dw__on_bench_shelf(x, on, &shelf, &slab, err);
  if (status == DW_OK) status = dw_drop_cups_load(book, &on->pattern, on->row.batch, shelf, &slab, cup, err);
  if (status == DW_OK) status = dw_drops_judge(&d->drizzle, shelf, cup, &d->judged, err);
  if (status == DW_OK) status = keepable(x, d, err);
  if (status == DW_OK)
    status =
        dw_keep_readings(book, &on->pattern, on->row.batch, &d->photo, shelf, &slab, DW_BAIT_DRIZZLED, err);
  if (status == DW_OK) status = dw_book_learn(book, shelf, &learned, err);
  dw_shelf_free(shelf);
  return status;
}

dw_status dw__work_drizzled_post(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  drizzled *d = calloc(1, sizeof *d);
  if (!d) return dw_fail_memory(err, "the drops");
  dw_status status = dw_json_text_of(x->body, "order", false, &d->order, err);
  if (status == DW_OK) status = photo_read(x, d, err);
  if (status == DW_OK) status = dw__on_bench_begin(x, DW__SAW_WORK, &on, err);
  if (status == DW_OK) status = dw__on_bench_end(x, &on, keep(x, &on, d, err), err);
  if (status == DW_OK) x->json = dw_json_with(x->json, "drizzle", dw_json_drizzle(&d->drizzle, &d->judged));
  dw_read_photo_free(&d->photo);
  free(d);
  return status;
}
