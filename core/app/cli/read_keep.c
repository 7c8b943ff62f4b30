/* Readings that become those of a batch. */
#include "app/cli/read.h"

#include <stdlib.h>

enum { BAITS_MAX = 100000 };

typedef struct keeping {
  pt_pattern pattern;
  pt_batch batch;
  pt_slab slab;
  pt_shelf *shelf; /* owned */
  pt_learned learned;
  int bait[CLI_PHOTOS_MAX]; /* of each photo, from 0 */
} keeping;

static pt_status bait_of(const cli_args *args, size_t i, size_t n, int *out, pt_error *err) {
  const char *text;
  double number = 1;
  pt_status status = cli_each(args, "--bait", i, n, "photos", &text, err);
  if (status != PT_OK) return status;
  if (text && (!pt_parse_number_in(text, 1, BAITS_MAX, &number) || number != (int)number))
    return pt_fail(err, PT_USAGE, "--bait %.40s is not the number of a bait: give 1 for the first.", text);
  *out = (int)number - 1;
  return PT_OK;
}

/* Every marked layer must be one of the pattern's: a slip in a name would silently lose its color. */
static pt_status check_layers(const pt_pattern *pattern, const pt_read_photo *photo, pt_error *err) {
  const pt_pattern_layer *unused;
  pt_status status = PT_OK;
  for (size_t i = 0; i < photo->reading.n && status == PT_OK; i++)
    status = pt_pattern_layer_find(pattern, photo->reading.layer[i].name, &unused, err);
  return status;
}

static pt_status find_batch(const cli_args *args, pt_book *book, pt_pattern *pattern, pt_batch *batch,
                            pt_error *err) {
  pt_status status = pt_pattern_find(book, cli_value(args, "--pattern"), pattern, err);
  if (status != PT_OK) return status;
  return pt_batch_find(book, pattern->id, cli_value(args, "--batch"), batch, err);
}

/* What the options say of how to keep the photos' readings. */
static pt_status parse(const cli_args *args, keeping *out, pt_error *err) {
  pt_status status = cli_slab_given(args, &out->slab, err);
  for (size_t i = 0; i < args->n_words && status == PT_OK; i++)
    status = bait_of(args, i, args->n_words, &out->bait[i], err);
  return status;
}

pt_status cli_read_check(const cli_args *args, pt_error *err) {
  pt_book *book = NULL;
  pt_pattern pattern;
  pt_batch batch;
  keeping parsed;
  pt_status status = parse(args, &parsed, err);
  if (status == PT_OK) status = cli_book_read(args, &book, err);
  if (status == PT_OK) status = find_batch(args, book, &pattern, &batch, err);
  pt_book_close(book);
  return status;
}

static pt_status keep_all(const cli_args *args, const cli_photos *photos, pt_book *book, keeping *out,
                          pt_error *err) {
  size_t count;
  pt_status status = find_batch(args, book, &out->pattern, &out->batch, err);
  for (size_t i = 0; i < photos->n && status == PT_OK; i++)
    status = check_layers(&out->pattern, &photos->photo[i], err);
  if (status == PT_OK) status = pt_book_shelf(book, &out->shelf, NULL, err);
  for (size_t i = 0; i < photos->n && status == PT_OK; i++)
    status = pt__keep_readings(book, &out->pattern, out->batch.id, &photos->photo[i], out->shelf, &out->slab,
                               out->bait[i], &count, err);
  return status == PT_OK ? pt_book_learn(book, out->shelf, &out->learned, err) : status;
}

/* ---- what to say --------------------------------------------------------------------------------------- */

static json_t *photo_json(const keeping *kept, const pt_read_photo *photo, int bait) {
  json_t *json = pt_json_reading(&photo->reading), *layers = json_array();
  for (size_t i = 0; i < photo->reading.n; i++)
    layers = pt_json_and(layers, json_string(photo->reading.layer[i].name));
  return pt_json_with(json, "kept",
                      json_pack("{s:s, s:s, s:i, s:o}", "pattern", kept->pattern.name, "batch",
                                kept->batch.name, "bait", bait + 1, "layers", layers));
}

static json_t *all_json(const keeping *kept, const cli_photos *photos) {
  json_t *learned = cli_learned_json(kept->shelf, &kept->learned), *list = json_array();
  if (photos->n == 1) {
    json_t *one = photo_json(kept, &photos->photo[0], kept->bait[0]);
    json_decref(list);
    return pt_json_with(one, "learned", learned);
  }
  for (size_t i = 0; i < photos->n; i++)
    list = pt_json_and(list, photo_json(kept, &photos->photo[i], kept->bait[i]));
  return json_pack("{s:o, s:o}", "readings", list, "learned", learned);
}

static void all_text(const keeping *kept, const cli_photos *photos, const pt_style *style, pt_text *out) {
  for (size_t i = 0; i < photos->n; i++) {
    const pt_photo_reading *reading = &photos->photo[i].reading;
    if (i) pt_text_add(out, "\n");
    pt_text_reading(reading, style, out);
    pt_text_add(out, "Kept as bait %d of batch %s of \"%s\": ", kept->bait[i] + 1, kept->batch.name,
                kept->pattern.name);
    for (size_t j = 0; j < reading->n; j++) pt_text_add(out, "%s%s", j ? ", " : "", reading->layer[j].name);
    pt_text_add(out, ".\n");
  }
  cli_learned_text(&kept->learned, UINT64_MAX, out);
}

static pt_status say(const cli_args *args, const keeping *kept, const cli_photos *photos, pt_error *err) {
  pt_text text = {0};
  if (args->json) return cli_print_json(all_json(kept, photos), err);
  all_text(kept, photos, &args->style, &text);
  return cli_print_text(&text, err);
}

pt_status cli_read_keep(const cli_args *args, const cli_photos *photos, pt_error *err) {
  pt_book *book = NULL;
  keeping *kept = calloc(1, sizeof *kept);
  pt_status status = kept ? parse(args, kept, err) : pt_fail_memory(err, "the readings");
  if (status == PT_OK) status = cli_book_write(args, &book, err);
  if (status == PT_OK) status = keep_all(args, photos, book, kept, err);
  status = cli_book_done(book, status, err);
  if (status == PT_OK) status = say(args, kept, photos, err);
  if (kept) pt_shelf_free(kept->shelf);
  free(kept);
  return status;
}
