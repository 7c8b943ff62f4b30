/* What was found in a photo, as if each bait had been marked in it. */
#include "read/finding.h"

#include <stdlib.h>
#include <string.h>

void dw__light_mark(const dw_photo_reading *reading, const dw_find_wish *wish, dw_marks *out) {
  const char *set = wish->card_set;
  if (dw__light_given(wish->light, out)) return;
  dw_marks_begin(out);
  if (!reading->has_corners) return;
  out->method = DW_LIGHT_CARD;
  out->card = reading->card;
  out->corners = reading->corners;
  dw_copy_text(out->card_set, sizeof out->card_set, set);
}

void dw__found_reading(const dw_found *found, size_t at, const dw_find_wish *wish, dw_photo_reading *out) {
  const dw_bait *bait = &found->baits.bait[at];
  *out = found->reading;
  out->n = bait->n;
  for (size_t i = 0; i < bait->n; i++) {
    dw_layer_reading *layer = &out->layer[i];
    dw_copy_text(layer->name, sizeof layer->name, dw_find_layer_name(wish, i, bait->n));
    layer->shape = bait->layer[i].band;
    layer->reading = bait->layer[i].reading;
  }
}

static void bait_mark(const dw_found *found, size_t at, const dw_find_wish *wish, dw_read_photo *out) {
  dw__found_reading(found, at, wish, &out->reading);
  dw__light_mark(&found->reading, wish, &out->marks);
  out->marks.n = out->reading.n;
  for (size_t i = 0; i < out->marks.n; i++) {
    const dw_layer_reading *layer = &out->reading.layer[i];
    out->marks.layer[i].shape = layer->shape;
    memcpy(out->marks.layer[i].name, layer->name, sizeof layer->name);
  }
}

void dw_found_marks(const dw_found *found, const dw_find_wish *wish, dw_marks *out) {
  dw__light_mark(&found->reading, wish, out);
  for (size_t b = 0; b < found->baits.n; b++) {
    const dw_bait *bait = &found->baits.bait[b];
    if (out->n + bait->n > DW_READ_LAYERS_MAX) return;
    for (size_t i = 0; i < bait->n; i++) {
      dw_mark *mark = &out->layer[out->n++];
      mark->shape = bait->layer[i].band;
      snprintf(mark->name, sizeof mark->name, found->baits.n > 1 ? "%s %zu" : "%s",
               dw_find_layer_name(wish, i, bait->n), b + 1);
    }
  }
}

/* One sentence for all baits of which the same is to be said. */
static void notes_fill(const dw_found *found, dw_notes *out) {
  dw_notes_add(out, &found->baits.notes);
  for (size_t i = 0; i < found->baits.n; i++) dw_notes_add(out, &found->baits.bait[i].notes);
}

dw_status dw__found_none(const dw_found *found, const char *instead, dw_error *err) {
  const dw_notes *notes = &found->baits.notes;
  return dw_fail(err, DW_NOT_FOUND, "%s: no bait was found (%s) %s", found->reading.path,
                 notes->n ? notes->text[0] : "nothing lies on the board.", instead);
}

dw_status dw__keepsake_make(dw_photo *photo, dw_read_photo *out, dw_error *err) {
  dw_preview preview;
  dw_arena *arena = dw_arena_new(0);
  dw_status status =
      arena ? dw_file_sha256(dw_photo_path(photo), out->sha256, err) : dw_fail_memory(err, "a photo");
  if (status == DW_OK) status = dw_photo_preview(photo, DW_KEPT_PREVIEW_SIDE, arena, &preview, err);
  if (status == DW_OK)
    status = dw_preview_jpeg(&preview, DW_KEPT_PREVIEW_QUALITY, &out->jpeg, &out->jpeg_bytes, err);
  dw_arena_free(arena);
  return status;
}

dw_status dw__keepsake_copy(const dw_read_photo *from, dw_read_photo *out, dw_error *err) {
  memcpy(out->sha256, from->sha256, sizeof out->sha256);
  out->jpeg = malloc(from->jpeg_bytes);
  /* -fanalyzer: whoever has the list frees it, what is half made, too */
  if (!out->jpeg) return dw_fail_memory(err, "a photo's preview");
  memcpy(out->jpeg, from->jpeg, from->jpeg_bytes);
  out->jpeg_bytes = from->jpeg_bytes;
  return DW_OK;
}

static dw_status photos_make(dw_photo *photo, const dw_found *found, const dw_find_wish *wish,
                             dw_read_photo *out, dw_error *err) {
  dw_status status = dw__keepsake_make(photo, &out[0], err);
  for (size_t i = 0; i < found->baits.n && status == DW_OK; i++) {
    bait_mark(found, i, wish, &out[i]);
    if (i > 0) status = dw__keepsake_copy(&out[0], &out[i], err);
  }
  return status;
}

/* What has another number of layers than is wished gives no reading of them. */
static void others_leave(const dw_find_wish *wish, dw_baits *baits) {
  size_t n = 0, all = baits->n;
  for (size_t i = 0; i < all; i++)
    if (!wish->rules.layers || baits->bait[i].n == wish->rules.layers) baits->bait[n++] = baits->bait[i];
  baits->n = n;
  if (n < all)
    dw_note(&baits->notes, "%zu bait%s left out, too slim for the %zu layers that are asked for.", all - n,
            all - n == 1 ? " is" : "s are", wish->rules.layers);
}

dw_status dw_found_photos(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_found *found,
                          dw_read_photo **out, size_t *n, dw_notes *notes, dw_error *err) {
  dw_read_photo *photos = NULL;
  dw_photo *photo = NULL;
  dw_status status = dw__find_open(path, wish, arena, &photo, found, err);
  if (status == DW_OK) others_leave(wish, &found->baits);
  if (status == DW_OK && found->baits.n == 0)
    status = dw__found_none(
        found,
        "A live animal, a fish in hand or a bait over a pattern is read by marks: give --marks "
        "FILE, which the page (dropwise bench) makes, or the layer's shape.",
        err);
  if (status == DW_OK) {
    photos = calloc(found->baits.n, sizeof *photos);
    status = photos ? photos_make(photo, found, wish, photos, err) : dw_fail_memory(err, "the baits");
  }
  if (status == DW_OK) {
    *n = found->baits.n;
    *out = photos;
    if (notes) notes_fill(found, notes);
  } else if (photos) {
    dw_found_photos_free(photos, found->baits.n);
  }
  dw_photo_close(photo);
  return status;
}

void dw_found_photos_free(dw_read_photo *photos, size_t n) {
  for (size_t i = 0; i < n; i++) dw_read_photo_free(&photos[i]);
  free(photos);
}

dw_status dw_photos_join(const dw_read_photo *photos, size_t n, dw_photo_reading *out, dw_error *err) {
  dw_reading *each = calloc(n + 1, sizeof *each);
  dw_status status = each ? DW_OK : dw_fail_memory(err, "the baits");
  *out = photos[0].reading;
  for (size_t l = 0; l < out->n && status == DW_OK; l++) {
    for (size_t i = 0; i < n; i++) each[i] = photos[i].reading.layer[l].reading;
    status = dw_reading_mean(each, n, &out->layer[l].reading, err);
  }
  free(each);
  return status;
}
