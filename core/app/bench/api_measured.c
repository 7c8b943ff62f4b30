/* Baits of the photo at hand are read into the batch; what looks wrong is asked about before it is kept. */
#include "app/bench/looks.h"
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "app/bench/swirls.h"

#include "dropwise/fit.h"

#include <stdlib.h>
#include <string.h>

/* What a request reads: one bait as it is marked, or several as it says. */
typedef struct shot {
  size_t n;
  dw_read_photo *bait[DW_BAITS_MAX];
  int64_t first; /* the number of the first one in its batch, from 1 */
  json_t *doubts;
} shot;

static void shot_free(shot *s) {
  for (size_t i = 0; i < s->n; i++) {
    dw_read_photo_free(s->bait[i]);
    free(s->bait[i]);
  }
  json_decref(s->doubts);
}

/* ---- read, outside of any transaction: the one that writes checks what was seen ---------------------------
 */

static dw_status read_bait(dw__exchange *x, const char *photo, const json_t *marks, shot *out,
                           dw_error *err) {
  dw_read_photo *read = calloc(1, sizeof *read);
  if (!read) return dw_fail_memory(err, "the reading");
  out->bait[out->n++] = read;
  return dw__look_read(x->bench, photo, marks, read, err);
}

static dw_status read_baits(dw__exchange *x, const char *photo, json_t *marks, shot *out, dw_error *err) {
  const json_t *baits = json_object_get(x->body, "baits");
  size_t n = json_array_size(baits);
  dw_status status = DW_OK;
  if (dw_json_absent(baits)) return read_bait(x, photo, marks, out, err);
  if (n == 0 || n > DW_BAITS_MAX)
    return dw_fail(err, DW_USAGE, "\"baits\" must be a list of 1 to %d baits' layers.", DW_BAITS_MAX);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    if (json_object_set(marks, "layers", json_array_get(baits, i)))
      return dw_fail_memory(err, "a bait's marks");
    status = read_bait(x, photo, marks, out, err);
  }
  return status;
}

/* A swirl's photo is one, found or by the body's areas, whatever is marked in it. */
static dw_status read_swirls(dw__exchange *x, const dw_pattern *pattern, const char *photo,
                             const json_t *marks, shot *out, dw_error *err) {
  dw_marks *areas = NULL;
  dw_read_photo *list = NULL;
  size_t n = 0;
  dw_status status = dw__swirl_areas(x->body, marks, &areas, err);
  if (status == DW_OK) status = dw__swirl_baits(x->bench, photo, areas, pattern, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    if (!(out->bait[i] = malloc(sizeof *list))) {
      status = dw_fail_memory(err, "the reading");
      break;
    }
    *out->bait[out->n++] = list[i];
    list[i].jpeg = NULL;
  }
  if (list) dw_found_photos_free(list, n);
  free(areas);
  return status;
}

static dw_status read_photo(dw__exchange *x, shot *out, dw_error *err) {
  dw_book_bench row = {0};
  dw_pattern pattern;
  dw_status status = dw__on_bench_look(x, &row, &pattern, err);
  if (status == DW_OK && !row.photo[0])
    status = dw_fail(err, DW_BAD_INPUT, "There is no photo yet: take one of the bait first.");
  if (status == DW_OK) {
    json_t *marks = dw__parsed(row.marks);
    status = pattern.swirl ? read_swirls(x, &pattern, row.photo, marks, out, err)
                           : read_baits(x, row.photo, marks, out, err);
    json_decref(marks);
  }
  dw_book_bench_free(&row);
  return status;
}

/* ---- what looks wrong -------------------------------------------------------------------------------------
 */

static void doubt(shot *s, const char *layer, const char *words) {
  if (!s->doubts) s->doubts = json_array();
  s->doubts = dw_json_and(s->doubts, json_pack("{s:s, s:s}", "layer", layer, "words", words));
}

static dw_status light_hit(dw__exchange *x, const dw_read_photo *read, dw_photo *photo, shot *s,
                           dw_error *err) {
  dw__held_light *held = NULL;
  dw_status status = dw__lights_take(&x->bench->lights, read->sha256, photo, &read->marks, &held, err);
  for (size_t i = 0; i < read->reading.n && status == DW_OK; i++) {
    bool hit;
    status = dw__boards_hit(&x->bench->boards, read->sha256, photo, held->light, &read->reading.layer[i],
                            &hit, err);
    if (status == DW_OK && hit) doubt(s, read->reading.layer[i].name, DW__ON_BOARD_WORDS);
  }
  dw__lights_give(&x->bench->lights, held);
  return status;
}

static dw_status doubt_places(dw__exchange *x, shot *s, dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw__photos_open(&x->bench->photos, s->bait[0]->sha256, &photo, err);
  for (size_t i = 0; i < s->n && status == DW_OK; i++) status = light_hit(x, s->bait[i], photo, s, err);
  dw_photo_close(photo);
  return status;
}

/* The layer that a kept reading is of, by its color; NULL where it is none of this shot. */
static const char *layer_of(const shot *s, const dw_reading_judged *reading) {
  for (size_t i = 0; i < s->n; i++)
    for (size_t k = 0; k < s->bait[i]->reading.n; k++) {
      const dw_layer_reading *layer = &s->bait[i]->reading.layer[k];
      if (memcmp(&layer->reading.lab, &reading->lab, sizeof reading->lab) == 0) return layer->name;
    }
  return NULL;
}

/* By the rule that sets readings aside: those just kept, which are taken back when somebody is to be asked.
 */
static dw_status doubt_colors(dw__exchange *x, const dw__on_bench *on, const dw_shelf *shelf, shot *s,
                              dw_error *err) {
  char words[DW_NOTE_TEXT];
  dw_reading_judged *list = NULL;
  size_t n = 0;
  dw_status status = dw_readings_judge(x->bench->book, on->row.batch, shelf, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    const char *layer = list[i].far ? layer_of(s, &list[i]) : NULL;
    if (!layer) continue;
    dw_miss_words(list[i].off_de00, words, sizeof words);
    doubt(s, layer, words);
  }
  free(list);
  return status;
}

/* Nothing is kept: the answer names each layer and why. */
static dw_status question(dw__exchange *x, shot *s, dw_error *err) {
  if (!s->doubts) return DW_OK;
  x->json = json_pack("{s:O}", "doubts", s->doubts);
  return dw_fail(err, DW_BAD_INPUT, "Not read yet: some of it does not look like what is in the cups.");
}

/* ---- kept -------------------------------------------------------------------------------------------------
 */

static dw_status keep_baits(dw_book *book, const dw__on_bench *on, const shot *s, const dw_shelf *shelf,
                            const dw_slab *slab, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < s->n && status == DW_OK; i++)
    status = dw_keep_readings(book, &on->pattern, on->row.batch, s->bait[i], shelf, slab,
                              (int)(s->first - 1 + (int64_t)i), err);
  return status;
}

static dw_status keep_measured(dw__exchange *x, const dw__on_bench *on, shot *s, bool ask, dw_error *err) {
  dw_book *book = x->bench->book;
  dw_shelf *shelf = NULL;
  dw_learned learned;
  dw_slab slab;
  dw_status status = dw__on_bench_shelf(x, on, &shelf, &slab, err);
  if (status == DW_OK) status = keep_baits(book, on, s, shelf, &slab, err);
  if (status == DW_OK && ask) status = doubt_colors(x, on, shelf, s, err);
  if (status == DW_OK) status = question(x, s, err);
  if (status == DW_OK) status = dw_book_learn(book, shelf, &learned, err);
  dw_shelf_free(shelf);
  return status;
}

dw_status dw__work_measured_post(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  shot s = {0};
  bool ask = json_is_true(json_object_get(x->body, "ask"));
  dw_status status = dw_json_whole_of(x->body, "bait", 1, 1000, 1, &s.first, err);
  if (status == DW_OK) status = read_photo(x, &s, err);
  if (status == DW_OK && ask && !s.bait[0]->reading.layer[0].has_share) status = doubt_places(x, &s, err);
  if (status == DW_OK) status = dw__on_bench_begin(x, DW__SAW_WORK, &on, err);
  if (status == DW_OK) status = dw__on_bench_end(x, &on, keep_measured(x, &on, &s, ask, err), err);
  shot_free(&s);
  return status;
}
