/* A pattern as one file: what another book needs to mix it anew. */
#include "batch/good_cup.h"
#include "dropwise/batch_travel.h"
#include "dropwise/bottle_look.h"

#include <stdlib.h>
#include <string.h>

#define VERSION 1
enum { DECIMALS = 4 };

typedef struct writer {
  dw_book *book;
  const dw_pattern *pattern;
  const dw_shelf *shelf;
  bool used[DW_SHELF_MAX]; /* bottles of the good cups */
  json_t *layers, *photos; /* NULL when memory was out */
} writer;

static json_t *number(double value) {
  return dw_json_round(value, DECIMALS);
}

static json_t *lab_json(dw_lab lab) {
  return json_pack("[o, o, o]", number(lab.L), number(lab.a), number(lab.b));
}

/* ---- photos' previews ---------------------------------------------------------------------------------- */

static bool listed(const json_t *photos, const char *sha256) {
  for (size_t i = 0; i < json_array_size(photos); i++)
    if (strcmp(json_string_value(json_object_get(json_array_get(photos, i), "sha256")), sha256) == 0)
      return true;
  return false;
}

static json_t *photo_json(const dw_photo_kept *photo, const uint8_t *preview, size_t n) {
  dw_text text = {0};
  if (preview) dw_text_base64(&text, preview, n);
  json_t *json = json_pack("{s:s, s:i, s:i, s:s, s:o}", "sha256", photo->sha256, "width", photo->width,
                           "height", photo->height, "taken", photo->taken, "preview",
                           preview && !text.failed ? json_stringn(text.data, text.length) : json_null());
  dw_text_free(&text);
  return json;
}

static dw_status add_photo(writer *w, const char *sha256, dw_error *err) {
  int64_t id;
  dw_photo_kept photo;
  uint8_t *preview = NULL;
  size_t n = 0;
  if (!*sha256 || listed(w->photos, sha256)) return DW_OK;
  dw_status status = dw_photo_find(w->book, sha256, &id, err);
  if (status == DW_OK) status = dw_photo_get(w->book, id, &photo, err);
  if (status == DW_OK && photo.preview_bytes > 0)
    status = dw_photo_kept_preview(w->book, id, &preview, &n, err);
  if (status == DW_OK) w->photos = dw_json_and(w->photos, photo_json(&photo, preview, n));
  free(preview);
  return status;
}

/* ---- layers -------------------------------------------------------------------------------------------- */

static dw_status target_json(writer *w, const dw_pattern_layer *layer, json_t **out, dw_error *err) {
  dw_target_past *past = NULL;
  size_t n = 0;
  *out = json_null();
  if (!layer->has_target) return DW_OK;
  dw_status status = dw_target_history(w->book, layer->id, &past, &n, err);
  if (status == DW_OK && n > 0) {
    *out = json_pack("{s:o, s:o, s:b, s:s}", "lab", lab_json(past->lab), "uncertainty_de00",
                     number(past->uncertainty_de00), "no_card", past->no_card, "photo", past->photo);
    status = add_photo(w, past->photo, err);
  }
  dw_target_history_free(past, n);
  return status;
}

static dw_status tone_json(const writer *w, const dw_pattern_layer *layer, json_t **out, dw_error *err) {
  dw_tone tone;
  dw_lab *colors = NULL;
  size_t n = 0;
  *out = json_null();
  if (!layer->tone) return DW_OK;
  json_t *list = json_array();
  dw_status status = dw_tone_find(w->book, layer->tone_name, &tone, err);
  if (status == DW_OK) status = dw_tone_colors(w->book, tone.id, &colors, &n, err);
  for (size_t i = 0; i < n; i++) list = dw_json_and(list, lab_json(colors[i]));
  free(colors);
  if (status == DW_OK)
    *out = json_pack("{s:s, s:s, s:b, s:o}", "name", tone.name, "note", tone.note, "invented", tone.invented,
                     "colors", list);
  else
    json_decref(list);
  return status;
}

static json_t *drops_json(const dw_recipe_words *drops) {
  json_t *json = json_object();
  for (size_t i = 0; i < drops->n; i++)
    json = dw_json_with(json, drops->part[i].id, number(drops->part[i].amount));
  return json;
}

static json_t *good_json(const dw__good_cup *good) {
  if (!good->known) return json_null();
  return json_pack("{s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "batch", good->batch, "poured",
                   good->poured, "volume_floz", number(good->volume_floz), "capacity_floz",
                   number(good->capacity_floz), "drops", drops_json(&good->drops), "thickness_mm",
                   number(good->slab.thickness_mm), "over", number(good->slab.backing), "lab",
                   lab_json(good->color), "uncertainty_de00", number(good->doubt_de00));
}

static dw_status add_layer(writer *w, const dw_pattern_layer *layer, dw_error *err) {
  dw__good_cup good;
  json_t *target = NULL, *tone = NULL;
  dw_status status = dw__good_cup_find(w->book, layer, w->shelf, &good, err);
  if (status == DW_OK) status = target_json(w, layer, &target, err);
  if (status == DW_OK) status = tone_json(w, layer, &tone, err);
  if (status != DW_OK) {
    json_decref(target);
    json_decref(tone);
    return status;
  }
  if (good.other_lot) good.known = false; /* the looks that go along are those of today's lot */
  for (size_t i = 0; good.known && i < good.drops.n; i++)
    w->used[dw_shelf_find(w->shelf, good.drops.part[i].id)] = true;
  json_t *json = json_pack("{s:s, s:o, s:o, s:o, s:o}", "name", layer->name, "target", target, "see_through",
                           layer->see_through >= 0 ? number(layer->see_through) : json_null(), "tone", tone,
                           "good", good_json(&good));
  if (layer->share >= 0) json = dw_json_with(json, "share", number(layer->share));
  w->layers = dw_json_and(w->layers, json);
  return DW_OK;
}

/* ---- bottles and chips --------------------------------------------------------------------------------- */

static dw_status bottles_json(const writer *w, json_t **out, dw_error *err) {
  dw_status status = DW_OK;
  *out = json_array();
  for (size_t b = 0; b < w->shelf->n && status == DW_OK; b++) {
    const dw_bottle *bottle = &w->shelf->bottle[b];
    dw_swatch looks;
    if (!w->used[b]) continue;
    status = dw_swatch_look_at(w->shelf, b, DW_SAME_BOTTLE_LOADING, &looks, err);
    if (status == DW_OK)
      *out = dw_json_and(*out, json_pack("{s:s, s:s, s:s, s:o, s:o, s:o}", "id", bottle->id, "title",
                                         bottle->title, "role", dw_role_name(bottle->role), "drop_ml",
                                         number(bottle->drop_ml), "over_white", lab_json(looks.lab),
                                         "over_black", lab_json(looks.over_black)));
  }
  return status;
}

/* A chip of these bottles alone; clear base is the maker's own. */
static bool of_used(const writer *w, const dw_shelf *of, const dw_chip *chip) {
  for (size_t i = 0; i < chip->recipe.n; i++) {
    const int at = dw_shelf_find(w->shelf, of->bottle[chip->recipe.part[i].bottle].id);
    if (at < 0 || !w->used[at]) return false;
  }
  return chip->recipe.n > 0;
}

static json_t *chip_json(const dw_chip *chip, const dw_shelf *of) {
  char recipe[DW_NOTE_TEXT];
  dw_recipe_format(&chip->recipe, of, recipe, sizeof recipe);
  return json_pack("{s:s, s:o, s:o, s:o, s:b}", "recipe", recipe, "thickness_mm", number(chip->thickness_mm),
                   "over", number(chip->backing), "lab", lab_json(chip->lab), "clipped", chip->clipped);
}

static dw_status chips_json(const writer *w, json_t **out, dw_error *err) {
  dw_shelf *of = NULL;
  dw_chip *chips = NULL;
  size_t n = 0;
  *out = json_array();
  dw_status status = dw_chips_load(w->book, &of, &chips, &n, err);
  for (size_t i = 0; status == DW_OK && i < n; i++)
    if (of_used(w, of, &chips[i])) *out = dw_json_and(*out, chip_json(&chips[i], of));
  free(chips);
  dw_shelf_free(of);
  return status == DW_TOO_FEW ? DW_OK : status; /* there are none */
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

dw_status dw_pattern_export(dw_book *book, const dw_pattern *pattern, const dw_shelf *shelf, bool with_chips,
                            json_t **out, dw_error *err) {
  writer w = {
      .book = book, .pattern = pattern, .shelf = shelf, .layers = json_array(), .photos = json_array()};
  json_t *bottles = NULL, *chips = NULL;
  dw_status status = DW_OK;
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++) status = add_layer(&w, &pattern->layer[i], err);
  if (status == DW_OK) status = bottles_json(&w, &bottles, err);
  if (status == DW_OK && with_chips) status = chips_json(&w, &chips, err);
  if (status != DW_OK) {
    json_decref(w.layers);
    json_decref(w.photos);
    json_decref(bottles);
    json_decref(chips);
    return status;
  }
  *out = json_pack("{s:i, s:s, s:b, s:s, s:o, s:o, s:o}", "dropwise_pattern", VERSION, "name", pattern->name,
                   "clean_blends", pattern->clean_blends, "note", pattern->note, "layers", w.layers,
                   "bottles", bottles, "photos", w.photos);
  if (pattern->swirl) *out = dw_json_with(*out, "swirl", json_true());
  if (with_chips) *out = dw_json_with(*out, "chips", chips);
  return *out ? DW_OK : dw_fail_memory(err, "the pattern's file");
}
