/* A pattern's file taken into a book: all of it, or nothing. */
#include "batch/good_cup.h"
#include "batch/tone_read.h"
#include "dropwise/batch_travel.h"
#include "dropwise/book_journal.h"
#include "dropwise/bottle_look.h"
#include "dropwise/mix_json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define VERSION 1
#define DROP_APART 0.01 /* share by which the drops of one bottle may differ in size */
enum { SUFFIX_MAX = 99 };

/* A bottle that a good cup of the file names. */
typedef struct bottle {
  dw_bottle its;
  char here[DW_ID_ROOM]; /* its id in this book; "" where it is not there */
  bool added;
  double apart_de00; /* from the bottle of that name here; -1: there is none */
} bottle;

typedef struct reader {
  dw_book *book;
  const json_t *root;
  const dw_shelf *shelf;
  const dw_pattern_import *how;
  dw_pattern_arrived *out;
  dw_error *err;
  size_t n;
  bottle bottle[DW_SHELF_MAX];
} reader;

/* What a value lacks, with the file and the place in it. */
static dw_status wrong(const reader *r, const char *what, const char *place, const dw_error *why) {
  if (why->code != DW_USAGE && why->code != DW_BAD_INPUT) return dw_fail(r->err, why->code, "%s", why->text);
  return dw_fail(r->err, DW_BAD_INPUT, "%s, %s \"%.60s\": %s", r->how->file, what, place, why->text);
}

static const char *text_or(const json_t *object, const char *key, const char *fallback) {
  const char *text = json_string_value(json_object_get(object, key));
  return text ? text : fallback;
}

/* ---- bottles ------------------------------------------------------------------------------------------- */

static dw_status read_bottle(const json_t *json, bottle *out, dw_swatch *looks, dw_error *err) {
  const char *id = text_or(json, "id", ""), *title = text_or(json, "title", "");
  dw_role role;
  double drop_ml;
  if (!dw_id_valid(id) || !*title || !dw_utf8_plain(title) || !dw_role_find(text_or(json, "role", ""), &role))
    return dw_fail(err, DW_BAD_INPUT, "a bottle needs \"id\", \"title\" and \"role\".");
  dw_status status = dw_json_number_of(json, "drop_ml", DW_DROP_ML_MIN, DW_DROP_ML_MAX, 0, &drop_ml, err);
  if (status == DW_OK)
    status = dw_json_lab_of(json_object_get(json, "over_white"), "over_white", &looks->lab, err);
  if (status == DW_OK)
    status = dw_json_lab_of(json_object_get(json, "over_black"), "over_black", &looks->over_black, err);
  out->its = dw_bottle_blank(id, title, role);
  out->its.drop_ml = drop_ml;
  return status;
}

/* The bottle of that name here is the same where its drops look the same and are of one size. */
static dw_status recognize(const reader *r, bottle *b, const dw_swatch *looks, dw_error *err) {
  dw_swatch here;
  const int at = dw_shelf_find(r->shelf, b->its.id);
  b->apart_de00 = -1;
  if (at < 0) return DW_OK;
  dw_status status = dw_swatch_look_at(r->shelf, (size_t)at, DW_SAME_BOTTLE_LOADING, &here, err);
  if (status != DW_OK) return status;
  b->apart_de00 = fmax(dw_de00(here.lab, looks->lab), dw_de00(here.over_black, looks->over_black));
  const double drop = r->shelf->bottle[at].drop_ml / b->its.drop_ml;
  if (b->apart_de00 <= DW_SAME_BOTTLE_DE00 && drop > 1 - DROP_APART && drop < 1 + DROP_APART)
    memcpy(b->here, b->its.id, sizeof b->here);
  return DW_OK;
}

/* An id that neither the shelf nor the book has: "white", else "white-2" ... */
static dw_status free_id(const reader *r, const char *id, char out[DW_ID_ROOM], dw_error *err) {
  char stem[DW_ID_ROOM - 5];
  dw_copy_text(stem, sizeof stem, id);
  dw_copy_text(out, DW_ID_ROOM, id);
  for (int i = 2; i <= SUFFIX_MAX; i++) {
    dw_book_bottle there;
    dw_error none;
    dw_status status = dw_book_bottle_find(r->book, out, &there, &none);
    if (status != DW_OK && status != DW_NOT_FOUND) return dw_fail(err, status, "%s", none.text);
    if (status == DW_NOT_FOUND && dw_shelf_find(r->shelf, out) < 0) return DW_OK;
    snprintf(out, DW_ID_ROOM, "%s-%d", stem, i);
  }
  return dw_fail(err, DW_TOO_LARGE, "There are too many bottles like \"%s\".", id);
}

static void name_added(const char *id, char *list, size_t room) {
  char words[DW_ID_ROOM + 2];
  const size_t used = strlen(list);
  snprintf(words, sizeof words, "%s%s", used ? ", " : "", id);
  dw_copy_text(list + used, room - used, words);
}

static dw_status add_bottle(reader *r, bottle *b, dw_error *err) {
  int64_t id;
  dw_status status = free_id(r, b->its.id, b->here, err);
  if (status == DW_OK)
    status = dw_book_bottle_add(r->book, b->here, b->its.title, b->its.role, b->its.drop_ml, &id, err);
  b->added = status == DW_OK;
  if (b->added) name_added(b->here, r->out->bottles, sizeof r->out->bottles);
  return status;
}

static dw_status take_bottles(reader *r) {
  const json_t *list = json_object_get(r->root, "bottles");
  for (size_t i = 0; i < json_array_size(list); i++) {
    const json_t *json = json_array_get(list, i);
    dw_swatch looks;
    dw_error why;
    bottle *b = &r->bottle[r->n];
    if (r->n == DW_SHELF_MAX)
      return dw_fail(r->err, DW_TOO_LARGE, "%s has over %d bottles.", r->how->file, DW_SHELF_MAX);
    *b = (bottle){0};
    dw_status status = read_bottle(json, b, &looks, &why);
    if (status == DW_OK) status = recognize(r, b, &looks, &why);
    if (status == DW_OK && !*b->here && r->how->with_bottles) status = add_bottle(r, b, &why);
    if (status != DW_OK) return wrong(r, "bottle", text_or(json, "id", ""), &why);
    r->n++;
  }
  return DW_OK;
}

static const bottle *bottle_of(const reader *r, const char *id) {
  for (size_t i = 0; i < r->n; i++)
    if (strcmp(r->bottle[i].its.id, id) == 0) return &r->bottle[i];
  return NULL;
}

/* ---- chips --------------------------------------------------------------------------------------------- */

static dw_status read_chip(const json_t *json, const dw_shelf *shelf, dw_chip *out, dw_error *err) {
  *out = (dw_chip){.clipped = json_is_true(json_object_get(json, "clipped"))};
  dw_status status = dw_recipe_parse(text_or(json, "recipe", ""), shelf, &out->recipe, err);
  if (status == DW_OK)
    status = dw_json_number_of(json, "thickness_mm", 0.1, DW_THICKNESS_MAX_MM, 0, &out->thickness_mm, err);
  if (status == DW_OK) status = dw_json_number_of(json, "over", 0, 1, DW_BACKING_WHITE, &out->backing, err);
  return status == DW_OK ? dw_json_lab_of(json_object_get(json, "lab"), "lab", &out->lab, err) : status;
}

/* What the chips name: the file's bottles under their ids here, in the same order. */
static dw_status shelves(const reader *r, dw_shelf **theirs, dw_shelf **here, dw_error *err) {
  dw_status status = dw_shelf_new(theirs, err);
  if (status == DW_OK) status = dw_shelf_new(here, err);
  for (size_t i = 0; i < r->n && status == DW_OK; i++) {
    (*theirs)->bottle[(*theirs)->n++] = r->bottle[i].its;
    dw_bottle *same = &(*here)->bottle[(*here)->n++];
    *same = r->bottle[i].its;
    memcpy(same->id, r->bottle[i].here, sizeof same->id);
  }
  return status;
}

/* Chips of bottles that are all known here speak of nothing new. */
static bool tells(const reader *r, const dw_chip *chip) {
  bool any = false;
  for (size_t i = 0; i < chip->recipe.n; i++) any |= r->bottle[chip->recipe.part[i].bottle].added;
  return any;
}

static dw_status take_chips(reader *r) {
  const json_t *list = json_object_get(r->root, "chips");
  dw_shelf *theirs = NULL, *here = NULL;
  dw_error why = {0};
  dw_status status = *r->out->bottles ? shelves(r, &theirs, &here, &why) : DW_OK;
  for (size_t i = 0; *r->out->bottles && i < json_array_size(list) && status == DW_OK; i++) {
    dw_chip chip;
    size_t added = 0;
    status = read_chip(json_array_get(list, i), theirs, &chip, &why);
    if (status == DW_OK && tells(r, &chip)) status = dw_chips_keep(r->book, here, &chip, 1, 0, &added, &why);
    r->out->chips += added;
    if (status != DW_OK) wrong(r, "chip", text_or(json_array_get(list, i), "recipe", ""), &why);
  }
  dw_shelf_free(theirs);
  dw_shelf_free(here);
  return status == DW_OK ? DW_OK : r->err->code;
}

/* ---- photos -------------------------------------------------------------------------------------------- */

static dw_status keep_photo(const reader *r, const json_t *json, int64_t *id, dw_error *err) {
  const json_t *preview = json_object_get(json, "preview");
  int64_t width, height;
  uint8_t *bytes = NULL;
  size_t n = 0;
  dw_book_photo photo = {.path = r->how->file, .taken = text_or(json, "taken", "")};
  dw_status status = dw_json_sha_of(json, "sha256", &photo.sha256, err);
  if (status == DW_OK) status = dw_json_whole_of(json, "width", 1, 1000000, 1, &width, err);
  if (status == DW_OK) status = dw_json_whole_of(json, "height", 1, 1000000, 1, &height, err);
  if (status == DW_OK && !dw_json_absent(preview))
    status = dw_base64_decode(text_or(json, "preview", ""), json_string_length(preview), "A photo's preview",
                              &bytes, &n, err);
  if (status != DW_OK) return status;
  photo.width = (int)width;
  photo.height = (int)height;
  photo.preview = bytes;
  photo.preview_bytes = n;
  status = dw_photo_find(r->book, photo.sha256, id, err); /* one that is here keeps its place */
  if (status == DW_NOT_FOUND) status = dw_photo_keep(r->book, &photo, id, err);
  free(bytes);
  return status;
}

/* *id 0 without a photo. */
static dw_status take_photo(const reader *r, const char *sha256, int64_t *id, dw_error *err) {
  const json_t *list = json_object_get(r->root, "photos");
  *id = 0;
  for (size_t i = 0; *sha256 && i < json_array_size(list); i++)
    if (strcmp(text_or(json_array_get(list, i), "sha256", ""), sha256) == 0)
      return keep_photo(r, json_array_get(list, i), id, err);
  return DW_OK;
}

/* ---- layers -------------------------------------------------------------------------------------------- */

static dw_status take_target(const reader *r, const json_t *json, const char *name, int64_t layer,
                             dw_error *err) {
  const bool no_card = json_is_true(json_object_get(json, "no_card"));
  dw_target target = {.how = DW_TARGET_LAYER};
  if (dw_json_absent(json)) return DW_OK;
  dw_status status = dw_json_lab_of(json_object_get(json, "lab"), "lab", &target.lab, err);
  if (status == DW_OK)
    status = dw_json_number_of(json, "uncertainty_de00", 0, 100, 0, &target.uncertainty_de00, err);
  if (status == DW_OK) status = take_photo(r, text_or(json, "photo", ""), &target.photo, err);
  if (status != DW_OK) return status;
  json_t *detail = json_pack("{s:o, s:s, s:o, s:b}", "pattern", dw_json_text(text_or(r->root, "name", "")),
                             "layer", name, "file", dw_json_text(r->how->file), "no_card", no_card);
  char *text = detail ? dw_json_write(detail, JSON_COMPACT) : NULL;
  target.detail = text;
  status = text ? dw_target_set(r->book, layer, &target, err) : dw_fail_memory(err, "a target");
  free(text);
  json_decref(detail);
  return status;
}

static dw_status take_see_through(const reader *r, const json_t *json, int64_t layer, dw_error *err) {
  double ratio;
  dw_status status = dw_json_number_of(json, "see_through", 0, 1, -1, &ratio, err);
  return status == DW_OK && ratio >= 0 ? dw_pattern_set_see_through(r->book, layer, ratio, err) : status;
}

/* The drops by their ids here; false, with a note, where a bottle of them is not here. */
static bool take_drops(reader *r, const char *layer, const json_t *json, dw_recipe_words *out) {
  const char *id;
  json_t *value;
  json_object_foreach((json_t *)(uintptr_t)json, id, value) {
    const bottle *b = bottle_of(r, id);
    if (out->n == DW_CUP_BOTTLES_MAX || !b || !*b->here) {
      if (b && b->apart_de00 >= 0)
        dw_note(&r->out->notes,
                "The %s was solved anew: \"%s\" is another bottle here (its drops look %.1f apart).", layer,
                id, b->apart_de00);
      else
        dw_note(&r->out->notes, "The %s was solved anew: \"%.40s\" is not on this shelf.", layer, id);
      return false;
    }
    memcpy(out->part[out->n].id, b->here, sizeof b->here);
    out->part[out->n++].amount = json_number_value(value);
  }
  return out->n > 0;
}

static dw_status take_good(reader *r, const json_t *json, const char *layer, dw__good_cup *out,
                           dw_error *err) {
  const char *batch, *poured;
  *out = (dw__good_cup){0};
  if (dw_json_absent(json)) return DW_OK;
  dw_status status = dw_json_text_of(json, "batch", true, &batch, err);
  if (status == DW_OK) status = dw_json_text_of(json, "poured", true, &poured, err);
  if (status == DW_OK)
    status = dw_json_number_of(json, "volume_floz", 0.01, DW_VOLUME_MAX_FLOZ, 0, &out->volume_floz, err);
  if (status == DW_OK)
    status = dw_json_number_of(json, "capacity_floz", 0.01, DW_VOLUME_MAX_FLOZ, 0, &out->capacity_floz, err);
  if (status == DW_OK)
    status =
        dw_json_number_of(json, "thickness_mm", 0.05, DW_THICKNESS_MAX_MM, 10, &out->slab.thickness_mm, err);
  if (status == DW_OK)
    status = dw_json_number_of(json, "over", 0, 1, DW_BACKING_GRAY, &out->slab.backing, err);
  if (status == DW_OK) status = dw_json_number_of(json, "uncertainty_de00", 0, 100, 0, &out->doubt_de00, err);
  if (status == DW_OK) status = dw_json_lab_of(json_object_get(json, "lab"), "lab", &out->color, err);
  if (status != DW_OK) return status;
  dw_copy_text(out->batch, sizeof out->batch, batch);
  dw_copy_text(out->poured, sizeof out->poured, poured);
  out->known = take_drops(r, layer, json_object_get(json, "drops"), &out->drops);
  return DW_OK;
}

static dw_status take_layer(reader *r, const json_t *json, const dw_pattern_layer *layer,
                            dw__good_cup *good) {
  dw_error why;
  dw_status status = take_target(r, json_object_get(json, "target"), layer->name, layer->id, &why);
  if (status == DW_OK) status = take_see_through(r, json, layer->id, &why);
  if (status == DW_OK) status = dw__tone_read(r->book, json_object_get(json, "tone"), layer->id, &why);
  if (status == DW_OK) status = take_good(r, json_object_get(json, "good"), layer->name, good, &why);
  return status == DW_OK ? DW_OK : wrong(r, "layer", layer->name, &why);
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

static dw_status check_head(const reader *r) {
  const json_t *version = json_object_get(r->root, "dropwise_pattern");
  if (!json_is_integer(version))
    return dw_fail(r->err, DW_BAD_INPUT, "%s is not a pattern's file: it has no \"dropwise_pattern\".",
                   r->how->file);
  if (json_integer_value(version) > VERSION)
    return dw_fail(r->err, DW_UNSUPPORTED, "%s was written by a newer Dropwise.", r->how->file);
  return DW_OK;
}

/* Shares count where every color has one. */
static dw_status take_swirl(const reader *r, const json_t *layers, dw_error *err) {
  double percent[DW_PATTERN_LAYERS_MAX];
  size_t n = 0;
  if (!json_is_true(json_object_get(r->root, "swirl"))) return DW_OK;
  for (size_t i = 0; i < json_array_size(layers); i++) {
    const json_t *share = json_object_get(json_array_get(layers, i), "share");
    if (json_is_number(share)) percent[n++] = 100 * json_number_value(share);
  }
  return dw_pattern_set_swirl(r->book, r->out->pattern, true, percent, n == json_array_size(layers) ? n : 0,
                              err);
}

static dw_status begin_pattern(const reader *r, dw_pattern *out) {
  const json_t *layers = json_object_get(r->root, "layers");
  const char *names[DW_PATTERN_LAYERS_MAX] = {0};
  const char *name = r->how->name ? r->how->name : text_or(r->root, "name", "");
  const size_t n = json_array_size(layers);
  dw_error why;
  if (n < 1 || n > DW_PATTERN_LAYERS_MAX)
    return dw_fail(r->err, DW_BAD_INPUT, "%s has %zu layers; a pattern has 1 to %d.", r->how->file, n,
                   DW_PATTERN_LAYERS_MAX);
  for (size_t i = 0; i < n; i++) names[i] = text_or(json_array_get(layers, i), "name", "");
  dw_status status =
      dw_pattern_add(r->book, name, text_or(r->root, "note", ""), names, n, &r->out->pattern, &why);
  if (status == DW_OK && json_is_true(json_object_get(r->root, "clean_blends")))
    status = dw_pattern_set_clean_blends(r->book, r->out->pattern, true, &why);
  if (status == DW_OK) status = take_swirl(r, layers, &why);
  if (status == DW_OK) status = dw_pattern_get(r->book, r->out->pattern, out, &why);
  return status == DW_OK ? DW_OK : wrong(r, "pattern", name, &why);
}

static dw_status take_layers(reader *r, const dw_pattern *pattern) {
  const json_t *layers = json_object_get(r->root, "layers");
  dw__good_cup good[DW_PATTERN_LAYERS_MAX] = {0};
  dw_error why;
  dw_status status = DW_OK;
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = take_layer(r, json_array_get(layers, i), &pattern->layer[i], &good[i]);
  if (status != DW_OK) return status;
  status = dw__good_batch_put(r->book, pattern, text_or(r->root, "name", ""), good, r->shelf, &why);
  return status == DW_OK ? DW_OK : wrong(r, "the good cups of", pattern->name, &why);
}

dw_status dw_pattern_import_json(dw_book *book, const json_t *root, const dw_shelf *shelf,
                                 const dw_pattern_import *how, dw_pattern_arrived *out, dw_error *err) {
  dw_error local;
  reader *r = calloc(1, sizeof *r);
  dw_pattern pattern;
  if (!r) return dw_fail_memory(err, "the pattern");
  *out = (dw_pattern_arrived){0};
  *r =
      (reader){.book = book, .root = root, .shelf = shelf, .how = how, .out = out, .err = err ? err : &local};
  dw_status status = check_head(r);
  if (status == DW_OK) status = take_bottles(r);
  if (status == DW_OK) status = take_chips(r);
  if (status == DW_OK) status = begin_pattern(r, &pattern);
  if (status == DW_OK) status = take_layers(r, &pattern);
  if (status == DW_OK)
    dw_book_entry_say(book, DW_ENTRY_PATTERN, pattern.id, 0, "pattern %s from a file", pattern.name);
  free(r);
  return status;
}
