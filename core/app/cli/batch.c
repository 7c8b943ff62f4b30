/* dropwise batch: shown, renamed, corrected, removed. */
#include "app/cli/book.h"
#include "app/cli/pour.h"
#include "app/cli/travels.h"

#include <math.h>
#include <stdlib.h>

static const cli_option options[] = {
    {"--layer", "NAME", "correct: of which layer's cup; not needed for a pattern of one layer"},
    {"--drops", "DROPS", "correct: what the cup was given in all, as in brown=3; brown=0 takes it out"},
    {"--volume", "VOLUME", "correct: clear base at the start, as in 4floz or 120ml"},
    {"--temperature", "DEGREES", "correct: what was last noted of the cup, as in 350F or 177C"},
    {"--to-layer", "NAME", "correct: the cup was this layer's"},
    {"--to-batch", "NAME", "correct: the cup was of this batch"},
    CLI_NEW_OPTION,
    {NULL, NULL, NULL},
};

/* ---- list ---------------------------------------------------------------------------------------------- */

static dw_status run_list(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern = {0};
  dw_batch *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = dw_batch_list(book, pattern.id, &list, &n, err);
  for (size_t i = 0; i < n; i++) {
    dw_text_add(&text, "%-16s %.10s%s%s%s\n", list[i].name, list[i].poured, list[i].good ? "  good" : "",
                *list[i].note ? "  " : "", list[i].note);
    array = dw_json_and(array, json_pack("{s:s, s:s, s:b, s:s}", "batch", list[i].name, "poured",
                                         list[i].poured, "good", list[i].good, "note", list[i].note));
  }
  if (n == 0) dw_text_add(&text, "No batch yet; dropwise pour begins one.\n");
  free(list);
  return cli_book_say(args, book, status, json_pack("{s:s, s:o}", "pattern", pattern.name, "batches", array),
                      &text, err);
}

/* ---- show ---------------------------------------------------------------------------------------------- */

static json_t *addition_json(const dw_book_addition *a) {
  if (a->slug[0])
    return json_pack("{s:s, s:s, s:f, s:s}", "bottle", a->slug, "lot", a->lot, "drops", a->drops, "added",
                     a->added);
  return json_pack("{s:f, s:s}", "clear_floz", a->clear_floz, "added", a->added);
}

static void addition_text(const dw_book_addition *a, const dw_style *style, dw_text *out) {
  if (!a->slug[0] && a->clear_floz <= 0) return; /* corrected to nothing */
  dw_text_add(out, "    %.16s  ", a->added);
  if (a->slug[0])
    dw_text_add(out, "%.6g drop%s of %s (lot %s)\n", a->drops, a->drops == 1 ? "" : "s", a->slug, a->lot);
  else {
    dw_text_volume(a->clear_floz, style->units, out);
    dw_text_add(out, " of clear base\n");
  }
}

static dw_status put_cup(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                         const dw_book_cup *cup, json_t *list, dw_text *out, dw_error *err) {
  dw_book_addition *additions = NULL;
  size_t n = 0;
  json_t *array = json_array();
  dw_status status = dw_book_cup_additions(book, cup->id, &additions, &n, err);
  dw_text_add(out, "%s: begun with ", dw_pattern_layer_name(pattern, cup->layer));
  dw_text_volume(cup->begun_floz, args->style.units, out);
  char degrees[24];
  if (!isnan(cup->temperature_f))
    dw_text_add(out, ", %s",
                dw_temperature_text(cup->temperature_f, args->style.units, degrees, sizeof degrees));
  dw_text_add(out, "\n");
  for (size_t i = 0; i < n; i++) {
    addition_text(&additions[i], &args->style, out);
    if (additions[i].slug[0] || additions[i].clear_floz > 0)
      array = dw_json_and(array, addition_json(&additions[i]));
  }
  free(additions);
  json_array_append_new(
      list,
      json_pack("{s:s, s:f, s:f, s:f, s:o, s:o}", "layer", dw_pattern_layer_name(pattern, cup->layer),
                "begun_floz", cup->begun_floz, "volume_floz", cup->volume_floz, "capacity_floz",
                cup->capacity_floz, "temperature_f",
                isnan(cup->temperature_f) ? json_null() : json_real(cup->temperature_f), "additions", array));
  return status;
}

static dw_status put_readings(const cli_args *args, dw_book *book, int64_t batch, json_t *list, dw_text *out,
                              dw_error *err) {
  dw_reading_kept *readings = NULL;
  size_t n = 0;
  dw_status status = dw_reading_list(book, batch, &readings, &n, err);
  if (n > 0) dw_text_add(out, "Readings\n");
  for (size_t i = 0; i < n; i++) {
    cli_reading_text(&readings[i], &args->style, out);
    json_array_append_new(list, cli_reading_json(&readings[i]));
  }
  free(readings);
  return status;
}

/* The newest photo of the batch, by its place; *out a new reference. */
static dw_status put_photo(dw_book *book, int64_t batch, json_t **out, dw_text *text, dw_error *err) {
  char hash[DW_SHA256_ROOM], *marks = NULL, *light = NULL;
  dw_photo_kept photo;
  int64_t id;
  dw_error none;
  dw_status status = dw_batch_look(book, batch, hash, &marks, &light, &none);
  *out = json_null();
  if (status == DW_NOT_FOUND) return DW_OK;
  free(marks);
  free(light);
  if (status == DW_OK) status = dw_photo_find(book, hash, &id, &none);
  if (status == DW_OK) status = dw_photo_get(book, id, &photo, &none);
  if (status != DW_OK) return dw_fail(err, status, "%s", none.text);
  dw_text_add(text, "Photo %s\n", photo.path);
  *out = json_pack("{s:s, s:o}", "sha256", photo.sha256, "path", dw_json_text(photo.path));
  return DW_OK;
}

static dw_status put_good(dw_book *book, const dw_pattern *pattern, int64_t batch, json_t **out,
                          dw_text *text, dw_error *err) {
  bool read[DW_PATTERN_LAYERS_MAX];
  dw_status status = dw_batch_layers_read(book, pattern, batch, read, err);
  if (status != DW_OK) return status;
  dw_batch_good_words(pattern, read, text);
  dw_text_add(text, "\n");
  *out = dw_json_with(*out, "good_layers", dw_batch_good_json(pattern, read));
  return DW_OK;
}

static dw_status show(const cli_args *args, dw_book *book, const dw_pattern *pattern, const dw_batch *batch,
                      json_t **out, dw_text *text, dw_error *err) {
  dw_book_cup *cups = NULL;
  size_t n = 0;
  json_t *list = json_array(), *readings = json_array(), *travels = json_array(), *photo = NULL;
  dw_status status = dw_book_cup_list(book, batch->id, &cups, &n, err);
  dw_text_add(text, "%s, batch %s, begun %.10s%s%s%s\n", pattern->name, batch->name, batch->poured,
              batch->good ? ", good" : "", *batch->note ? ": " : "", batch->note);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    status = put_cup(args, book, pattern, &cups[i], list, text, err);
  if (status == DW_OK) status = put_readings(args, book, batch->id, readings, text, err);
  if (status == DW_OK) status = cli_travels_put(book, batch->id, travels, text, err);
  if (status == DW_OK) status = put_photo(book, batch->id, &photo, text, err);
  free(cups);
  *out = json_pack("{s:s, s:s, s:s, s:b, s:s, s:o, s:o, s:o, s:o}", "pattern", pattern->name, "batch",
                   batch->name, "poured", batch->poured, "good", batch->good, "note", batch->note, "cups",
                   list, "readings", readings, "travels", travels, "photo", photo ? photo : json_null());
  if (status == DW_OK && batch->good) status = put_good(book, pattern, batch->id, out, text, err);
  return status;
}

static dw_status run_show(const cli_args *args, dw_error *err) {
  return cli_batch_say(args, args->word[1], args->word[2], show, err);
}

/* ---- changed ------------------------------------------------------------------------------------------- */

typedef dw_status (*change)(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                            const dw_batch *batch, dw_error *err);

/* One change as one entry, whose words are the answer. */
static dw_status run_change(const cli_args *args, change what, dw_error *err) {
  dw_book *book = NULL;
  dw_learned learned;
  dw_pattern pattern;
  dw_batch batch;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = cli_batch_find(book, args->word[1], args->word[2], &pattern, &batch, err);
  if (status == DW_OK) status = what(args, book, &pattern, &batch, err);
  if (status == DW_OK) status = dw_book_learn_anew(book, &learned, err); /* a correction teaches, too */
  return cli_say_change(args, book, status, err);
}

static dw_status rename_batch(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                              const dw_batch *batch, dw_error *err) {
  (void)pattern;
  return dw_batch_rename(book, batch->id, args->word[3], err);
}

static dw_status run_rename(const cli_args *args, dw_error *err) {
  return run_change(args, rename_batch, err);
}

static dw_status remove_batch(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                              const dw_batch *batch, dw_error *err) {
  (void)args;
  (void)pattern;
  return dw_batch_remove(book, batch->id, err);
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  return run_change(args, remove_batch, err);
}

/* ---- corrected ----------------------------------------------------------------------------------------- */

static dw_status set_drops(dw_book *book, int64_t cup, const char *text, dw_error *err) {
  dw_recipe_words words;
  dw_status status = dw_recipe_read(text, &words, err);
  for (size_t i = 0; i < words.n && status == DW_OK; i++)
    status = dw_book_cup_set_drops(book, cup, words.part[i].id, words.part[i].amount, err);
  return status;
}

static dw_status move_cup(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                          const dw_book_cup *cup, dw_error *err) {
  const char *batch = cli_value(args, "--to-batch"), *layer = cli_value(args, "--to-layer");
  dw_batch to_batch = {.id = cup->batch};
  const dw_pattern_layer *to_layer = NULL;
  dw_status status = batch ? cli_batch_take(args, book, pattern->id, batch, &to_batch, err) : DW_OK;
  if (status == DW_OK && layer) status = dw_pattern_layer_find(pattern, layer, &to_layer, err);
  if (status != DW_OK || (!batch && !layer)) return status;
  return dw_book_cup_move(book, cup->id, to_batch.id, to_layer ? to_layer->id : cup->layer, err);
}

static dw_status find_cup(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                          const dw_batch *batch, dw_book_cup *out, dw_error *err) {
  const char *name = cli_value(args, "--layer");
  const dw_pattern_layer *layer = &pattern->layer[0];
  if (!name && pattern->n > 1)
    return dw_fail(err, DW_USAGE, "\"%s\" has %zu layers; say which one with --layer.", pattern->name,
                   pattern->n);
  dw_status status = name ? dw_pattern_layer_find(pattern, name, &layer, err) : DW_OK;
  return status == DW_OK ? dw_book_cup_find(book, batch->id, layer->id, out, err) : status;
}

static dw_status correct(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                         const dw_batch *batch, dw_error *err) {
  const char *drops = cli_value(args, "--drops");
  dw_book_cup cup;
  double volume;
  const char *temperature = cli_value(args, "--temperature");
  double fahrenheit;
  char warning[2 * DW_NOTE_TEXT] = "";
  dw_status status = find_cup(args, book, pattern, batch, &cup, err);
  if (status == DW_OK && drops) status = set_drops(book, cup.id, drops, err);
  if (status == DW_OK) status = cli_volume(args, "--volume", 0.01, 1000, NAN, &volume, err);
  if (status == DW_OK && !isnan(volume)) status = dw_book_cup_set_volume(book, cup.id, volume, err);
  if (status == DW_OK && temperature)
    status = cli_temperature(args, temperature, &fahrenheit, warning, sizeof warning, err);
  if (status == DW_OK && temperature) status = dw_book_heat_correct(book, cup.id, fahrenheit, err);
  if (status == DW_OK) status = move_cup(args, book, pattern, &cup, err);
  if (status == DW_OK && *warning) cli_remark(warning);
  return status;
}

static dw_status run_correct(const cli_args *args, dw_error *err) {
  static const char *const what[] = {"--drops", "--volume", "--temperature", "--to-layer", "--to-batch"};
  for (size_t i = 0; i < sizeof what / sizeof *what; i++) {
    if (!cli_has(args, what[i])) continue;
    dw_status status = cli_batch_ask(args, args->word[1], "--to-batch", err);
    return status == DW_OK ? run_change(args, correct, err) : status;
  }
  return dw_fail(
      err, DW_USAGE,
      "batch correct needs what was wrong: --drops, --volume, --temperature, --to-layer or --to-batch.");
}

static const cli_verb verbs[] = {
    {"list", "PATTERN", 1, 1, run_list},
    {"show", "PATTERN BATCH", 2, 2, run_show},
    {"correct", "PATTERN BATCH [--layer NAME] --drops DROPS | --volume VOLUME | ...", 2, 2, run_correct},
    {"rename", "PATTERN BATCH NAME", 3, 3, run_rename},
    {"remove", "PATTERN BATCH", 2, 2, run_remove},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_batch = {
    .name = "batch",
    .summary = "batches: show what is in their cups, correct, rename, remove",
    .usage = "list PATTERN | show PATTERN BATCH | correct PATTERN BATCH ... | rename PATTERN BATCH NAME |\n"
             "     remove PATTERN BATCH",
    .about =
        "correct is for what was written down wrong, not for what was done since (that is pour --add): the "
        "drops\n"
        "of a bottle in all, the clear base, the temperature, the layer or batch that the cup was of. The "
        "old "
        "value\n"
        "stays in dropwise history; dropwise undo takes any of it back. reading correct moves a reading.",
    .example = "dropwise batch correct \"creek crawfish\" 2 --layer belly --drops brown=3",
    .options = options,
    .run = run,
};
