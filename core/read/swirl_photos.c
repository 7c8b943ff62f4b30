/* The baits of a photo read as swirls, each as it is kept: one reading a color, with its share. */
#include "dropwise/read_swirl.h"
#include "read/finding.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void color_fill(const dw_swirl_bait *bait, size_t c, const char *name, dw_layer_reading *out) {
  const dw_swirl_color *color = &bait->swirl.color[c];
  *out = (dw_layer_reading){.shape = bait->shape,
                            .reading = {.lab = color->lab,
                                        .lch = dw_lch_from_lab(color->lab),
                                        .uncertainty_de00 = color->uncertainty_de00,
                                        .spread_de00 = color->spread_de00,
                                        .pixels = bait->swirl.pixels,
                                        .shares = {.kept = 1 - bait->swirl.aside,
                                                   .gloss = NAN,
                                                   .flake = NAN,
                                                   .shadow = NAN,
                                                   .clipped = NAN}},
                            .has_share = true,
                            .share = color->share,
                            .share_doubt = color->share_doubt};
  dw_copy_text(out->name, sizeof out->name, name);
}

/* marks  the areas'; NULL: they were found */
static void bait_fill(const dw_swirls *swirls, size_t at, const dw_marks *marks, const dw_find_wish *wish,
                      dw_read_photo *out) {
  const dw_swirl_bait *bait = &swirls->bait[at];
  out->reading = swirls->reading;
  out->reading.n = bait->swirl.n;
  for (size_t c = 0; c < bait->swirl.n; c++) color_fill(bait, c, wish->name[c], &out->reading.layer[c]);
  if (marks)
    out->marks = *marks;
  else
    dw__light_mark(&swirls->reading, wish, &out->marks);
  out->marks.n = 1;
  out->marks.layer[0].shape = bait->shape;
  memcpy(out->marks.layer[0].name, bait->name, sizeof bait->name);
}

static void notes_fill(const dw_swirls *swirls, dw_notes *out) {
  dw_notes_add(out, &swirls->notes);
  for (size_t i = 0; i < swirls->n; i++) dw_notes_add(out, &swirls->bait[i].swirl.notes);
}

static dw_status photos_make(const char *path, const dw_swirls *swirls, const dw_marks *marks,
                             const dw_find_wish *wish, dw_read_photo *out, dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw_photo_open(path, NULL, &photo, err);
  if (status == DW_OK) status = dw__keepsake_make(photo, &out[0], err);
  for (size_t i = 0; i < swirls->n && status == DW_OK; i++) {
    bait_fill(swirls, i, marks, wish, &out[i]);
    if (i > 0) status = dw__keepsake_copy(&out[0], &out[i], err);
  }
  dw_photo_close(photo);
  return status;
}

dw_status dw_swirl_photos(const char *path, const dw_marks *marks, const dw_find_wish *wish,
                          dw_read_photo **out, size_t *n, dw_notes *notes, dw_error *err) {
  dw_find_wish anywhere = dw__light_only(wish, &marks); /* the colors are no layers to be looked for */
  dw_read_photo *photos = NULL;
  dw_swirls *swirls = calloc(1, sizeof *swirls);
  anywhere.rules.layers = anywhere.rules.n_target = 0;
  dw_status status =
      swirls ? dw_swirls_read(path, marks, &anywhere, wish->n, wish->rules.target, wish->n, swirls, err)
             : dw_fail_memory(err, "the swirls");
  if (status == DW_OK) {
    photos = calloc(swirls->n, sizeof *photos);
    status =
        photos ? photos_make(path, swirls, marks, &anywhere, photos, err) : dw_fail_memory(err, "the baits");
  }
  if (status == DW_OK) {
    *n = swirls->n;
    *out = photos;
    if (notes) notes_fill(swirls, notes);
  } else if (photos) {
    dw_found_photos_free(photos, swirls->n);
  }
  free(swirls);
  return status;
}
