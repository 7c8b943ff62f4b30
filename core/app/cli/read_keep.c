/* Readings that become those of a batch. */
#include "app/cli/read.h"
#include "dropwise/batch_flake.h"
#include "dropwise/report_swirl.h"

#include <stdlib.h>
#include <string.h>

enum { BAITS_MAX = 100000 };

typedef struct keeping {
  dw_pattern pattern;
  dw_batch batch;
  dw_slab slab;
  dw_shelf *shelf; /* owned */
  dw_learned learned;
  int bait[CLI_BAITS_MAX]; /* of each photo, or bait found in one, from 0 */
  dw_flake_aim
      flake[DW_PATTERN_LAYERS_MAX]; /* of the pattern's layers, the photos' mean beside the target's */
} keeping;

dw_status cli_bait_of(const cli_args *args, size_t i, size_t n, int *out, dw_error *err) {
  const char *text;
  double number = 1;
  dw_status status = cli_each(args, "--bait", i, n, "photos", &text, err);
  if (status != DW_OK) return status;
  if (text && (!dw_parse_number_in(text, 1, BAITS_MAX, &number) || number != (int)number))
    return dw_fail(err, DW_USAGE, "--bait %.40s is not the number of a bait: give 1 for the first.", text);
  *out = (int)number - 1;
  return DW_OK;
}

static dw_status find_batch(const cli_args *args, dw_book *book, dw_pattern *pattern, dw_batch *batch,
                            dw_error *err) {
  return cli_batch_find(book, cli_value(args, "--pattern"), cli_value(args, "--batch"), pattern, batch, err);
}

/* What the options say of how to keep the photos' readings. */
static dw_status parse(const cli_args *args, keeping *out, dw_error *err) {
  int unused;
  dw_status status = cli_slab_given(args, &out->slab, err);
  for (size_t i = 0; i < args->n_words && status == DW_OK; i++)
    status = cli_bait_of(args, i, args->n_words, &unused, err);
  return status;
}

/* The first number of the photo's baits in the batch, or the one after all others; next is that of `all`. */
static int number_on(const dw_reading_kept *all, size_t n, const char *sha256, int next) {
  int before = -1;
  for (size_t i = 0; i < n; i++) {
    bool same = dw_bait_read(all[i].bait) && strcmp(all[i].photo, sha256) == 0;
    if (same && (before < 0 || all[i].bait < before)) before = all[i].bait;
  }
  return before < 0 ? next : before;
}

static int after_all(const dw_reading_kept *all, size_t n) {
  int next = 0;
  for (size_t i = 0; i < n; i++)
    if (dw_bait_read(all[i].bait) && all[i].bait >= next) next = all[i].bait + 1;
  return next;
}

dw_status cli_baits_number(const cli_args *args, dw_book *book, int64_t batch, const cli_photos *photos,
                           int *out, dw_error *err) {
  dw_reading_kept *all = NULL;
  size_t n = 0;
  dw_status status = dw_reading_list(book, batch, &all, &n, err);
  int next = status == DW_OK ? after_all(all, n) : 0;
  for (size_t i = 0; i < photos->n && status == DW_OK;) {
    size_t baits = 1, s = photos->shot[i];
    while (i + baits < photos->n && photos->shot[i + baits] == s) baits++;
    status = cli_bait_of(args, s, photos->shots, &out[i], err);
    if (!cli_has(args, "--bait") && baits > 1) out[i] = number_on(all, n, photos->photo[i].sha256, next);
    for (size_t k = 1; k < baits; k++) out[i + k] = out[i] + (int)k;
    i += baits;
    next = out[i - 1] >= next ? out[i - 1] + 1 : next;
  }
  free(all);
  return status;
}

dw_status cli_read_check(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_batch batch;
  keeping parsed;
  dw_status status = parse(args, &parsed, err);
  if (status == DW_OK) status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = find_batch(args, book, &pattern, &batch, err);
  dw_book_close(book);
  return status;
}

static dw_status flake_compare(dw_book *book, const cli_photos *photos, keeping *out, dw_error *err) {
  dw_status status = DW_OK;
  dw_reading *each = malloc((photos->n + 1) * sizeof *each), mean;
  if (!each) return dw_fail_memory(err, "the flake");
  for (size_t l = 0; l < out->pattern.n && !out->pattern.swirl && status == DW_OK; l++) {
    size_t n = 0;
    for (size_t i = 0; i < photos->n; i++) {
      const dw_layer_reading *layer = dw_read_photo_layer(&photos->photo[i], out->pattern.layer[l].name);
      if (layer) each[n++] = layer->reading;
    }
    if (!n) continue;
    status = dw_reading_mean(each, n, &mean, err);
    if (status == DW_OK)
      status = dw_flake_compare(book, out->pattern.layer[l].id, &mean, &out->flake[l], err);
  }
  free(each);
  return status;
}

static dw_status keep_all(const cli_args *args, const cli_photos *photos, dw_book *book, keeping *out,
                          dw_error *err) {
  dw_status status = find_batch(args, book, &out->pattern, &out->batch, err);
  if (status == DW_OK) status = cli_baits_number(args, book, out->batch.id, photos, out->bait, err);
  if (status == DW_OK) status = dw_book_shelf(book, &out->shelf, NULL, err);
  if (status == DW_OK) status = dw_book_shelf_hold(book, out->shelf, err);
  for (size_t i = 0; i < photos->n && status == DW_OK; i++)
    status = dw_keep_readings(book, &out->pattern, out->batch.id, &photos->photo[i], out->shelf, &out->slab,
                              out->bait[i], err);
  if (status == DW_OK) status = flake_compare(book, photos, out, err);
  return status == DW_OK ? dw_book_learn(book, out->shelf, &out->learned, err) : status;
}

/* ---- what to say --------------------------------------------------------------------------------------- */

static json_t *photo_json(const keeping *kept, const dw_read_photo *photo, int bait) {
  json_t *json = dw_json_reading(&photo->reading), *layers = json_array();
  for (size_t i = 0; i < photo->reading.n; i++)
    layers = dw_json_and(layers, json_string(photo->reading.layer[i].name));
  return dw_json_with(json, "kept",
                      json_pack("{s:s, s:s, s:i, s:o}", "pattern", kept->pattern.name, "batch",
                                kept->batch.name, "bait", bait + 1, "layers", layers));
}

/* Of the layers whose targets tell of their flake. */
static json_t *flake_json(const keeping *kept) {
  json_t *list = json_array();
  for (size_t l = 0; l < kept->pattern.n; l++) {
    const dw_flake_aim *aim = &kept->flake[l];
    if (!aim->known) continue;
    list = dw_json_and(list, json_pack("{s:s, s:o, s:o, s:o, s:s}", "layer", kept->pattern.layer[l].name,
                                       "target_share", dw_json_round(aim->target_share, 4), "target",
                                       aim->has_color ? dw_json_lab(aim->target) : json_null(), "de00",
                                       dw_json_round(aim->de00, 2), "words", aim->words));
  }
  return list;
}

static json_t *all_json(const keeping *kept, const cli_photos *photos) {
  /* -fanalyzer: it is called where there was memory to keep */
  json_t *learned = cli_learned_json(kept->shelf, &kept->learned), *list = json_array();
  if (photos->n == 1) {
    json_t *one = photo_json(kept, &photos->photo[0], kept->bait[0]);
    json_decref(list);
    return dw_json_with(dw_json_with(one, "learned", learned), "flake", flake_json(kept));
  }
  for (size_t i = 0; i < photos->n; i++)
    list = dw_json_and(list, photo_json(kept, &photos->photo[i], kept->bait[i]));
  return json_pack("{s:o, s:o, s:o}", "readings", list, "learned", learned, "flake", flake_json(kept));
}

static void all_text(const keeping *kept, const cli_photos *photos, const dw_style *style, dw_text *out) {
  for (size_t i = 0; i < photos->n; i++) {
    const dw_photo_reading *reading = &photos->photo[i].reading;
    if (i) dw_text_add(out, "\n");
    if (kept->pattern.swirl)
      dw_text_swirl_colors(reading, style, out);
    else
      dw_text_reading(reading, style, out);
    dw_text_add(out, "Kept as bait %d of batch %s of \"%s\": ", kept->bait[i] + 1, kept->batch.name,
                kept->pattern.name);
    for (size_t j = 0; j < reading->n; j++) dw_text_add(out, "%s%s", j ? ", " : "", reading->layer[j].name);
    dw_text_add(out, ".\n");
  }
  for (size_t l = 0; l < kept->pattern.n; l++)
    if (kept->flake[l].known)
      dw_text_add(out, "%s: %s.\n", kept->pattern.layer[l].name, kept->flake[l].words);
  dw_text_notes(&photos->notes, "", out);
  cli_learned_text(&kept->learned, UINT64_MAX, out);
}

static dw_status say(const cli_args *args, const keeping *kept, const cli_photos *photos, dw_error *err) {
  dw_text text = {0};
  if (args->answer_is) return DW_OK;
  if (args->json) return cli_print_json(all_json(kept, photos), err);
  all_text(kept, photos, &args->style, &text);
  if (cli_has(args, "--more")) dw_text_reading_legend(&text);
  return cli_print_text(&text, err);
}

dw_status cli_read_keep(const cli_args *args, const cli_photos *photos, dw_error *err) {
  dw_book *book = NULL;
  keeping *kept = calloc(1, sizeof *kept);
  dw_status status = kept ? parse(args, kept, err) : dw_fail_memory(err, "the readings");
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = keep_all(args, photos, book, kept, err);
  status = cli_book_keep(args, "The readings were kept", book, status, err);
  if (status == DW_OK) status = say(args, kept, photos, err);
  if (kept) dw_shelf_free(kept->shelf);
  free(kept);
  return status;
}
