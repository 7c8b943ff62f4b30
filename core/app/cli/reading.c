/* Readings in the book: shown, and taken back when they were wrong. */
#include "app/cli/book.h"
#include "app/cli/travels.h"

#include <stdlib.h>

static const cli_option options[] = {
    {"--batch", "NAME", "of this batch; default the last one"},
    {"--to-batch", "NAME", "correct: it is of this batch"},
    CLI_NEW_OPTION,
    {"--to-layer", "NAME", "correct: it is of this layer"},
    {"--bait", "N", "correct: it is of this bait of the batch, from 1"},
    {NULL, NULL, NULL},
};

/* ---- taking back --------------------------------------------------------------------------------------- */

/* Readings taken back, and what the bottles are believed to be without them. */
typedef struct taken_back {
  dw_batch batch;
  dw_reading_kept *list; /* owned */
  size_t n;
  dw_learned learned;
} taken_back;

static dw_status remove_all(dw_book *book, taken_back *back, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < back->n && status == DW_OK; i++)
    status = dw_reading_remove(book, back->list[i].id, err);
  return status == DW_OK ? dw_book_learn_anew(book, &back->learned, err) : status;
}

static dw_status say_back(const cli_args *args, const taken_back *back, dw_error *err) {
  dw_text text = {0};
  json_t *list = json_array();
  for (size_t i = 0; i < back->n; i++) {
    const dw_reading_kept *r = &back->list[i];
    dw_text_add(&text, "Taken back from batch %s: %s, read as %.2f,%.2f,%.2f%s.\n", back->batch.name,
                r->layer_name, r->lab.L, r->lab.a, r->lab.b, *r->photo ? " from a photo" : "");
    json_array_append_new(list, json_pack("{s:I, s:s, s:o}", "id", (json_int_t)r->id, "layer", r->layer_name,
                                          "lab", dw_json_lab(r->lab)));
  }
  dw_text_add(&text, "What the pours teach of the bottles was worked out anew without it.\n");
  for (size_t i = 0; i < back->learned.n; i++)
    if (*back->learned.bottle[i].words)
      dw_text_add(&text, "Still learned: %s.\n", back->learned.bottle[i].words);
  return cli_say(args, json_pack("{s:s, s:o}", "batch", back->batch.name, "taken_back", list), &text, err);
}

static dw_status finish(const cli_args *args, dw_book *book, taken_back *back, dw_status status,
                        dw_error *err) {
  if (status == DW_OK) status = remove_all(book, back, err);
  status = cli_book_keep(args, "The readings were taken back", book, status, err);
  if (status == DW_OK) status = say_back(args, back, err);
  free(back->list);
  free(back);
  return status;
}

static dw_status find_batch(const cli_args *args, dw_book *book, const dw_pattern *pattern, dw_batch *out,
                            dw_error *err) {
  const char *name = cli_value(args, "--batch");
  if (name) return dw_batch_find(book, pattern->id, name, out, err);
  *out = (dw_batch){0};
  return DW_OK;
}

/* ---- any reading --------------------------------------------------------------------------------------- */

dw_status cli_reading_batch(const cli_args *args, dw_book *book, const dw_pattern *pattern, dw_batch *out,
                            dw_error *err) {
  dw_batch *list = NULL;
  size_t batches = 0;
  dw_status status = find_batch(args, book, pattern, out, err);
  if (status == DW_OK && !out->id) status = dw_batch_list(book, pattern->id, &list, &batches, err);
  if (status == DW_OK && batches) *out = list[batches - 1];
  free(list);
  if (status == DW_OK && !out->id)
    status = dw_fail(err, DW_NOT_FOUND, "\"%s\" has no batch yet.", pattern->name);
  return status;
}

static dw_status load(const cli_args *args, dw_book *book, dw_batch *batch, dw_reading_kept **out, size_t *n,
                      dw_error *err) {
  dw_pattern pattern;
  dw_status status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = cli_reading_batch(args, book, &pattern, batch, err);
  return status == DW_OK ? dw_reading_list(book, batch->id, out, n, err) : status;
}

void cli_reading_text(const dw_reading_kept *r, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%6lld  %.16s  %-12s ", (long long)r->id, r->taken, r->layer_name);
  dw_text_swatch(r->lab, style, out);
  dw_text_add(out, "%.2f,%.2f,%.2f  ", r->lab.L, r->lab.a, r->lab.b);
  if (r->has_share) dw_text_add(out, "%.0f%% (doubt %.0f)  ", 100 * r->share, 100 * r->share_doubt);
  if (!dw_bait_read(r->bait))
    dw_text_add(out, r->bait == DW_BAIT_DRIZZLED ? "drizzled\n" : "taken over\n");
  else
    dw_text_add(out, "bait %d%s%.12s\n", r->bait + 1, *r->photo ? ", photo " : ", from numbers", r->photo);
}

json_t *cli_reading_json(const dw_reading_kept *r) {
  json_t *json =
      json_pack("{s:I, s:s, s:s, s:o, s:o, s:b, s:o}", "id", (json_int_t)r->id, "taken", r->taken, "layer",
                r->layer_name, "lab", dw_json_lab(r->lab), "bait", dw_json_bait_number(r->bait), "drizzled",
                r->bait == DW_BAIT_DRIZZLED, "photo", *r->photo ? json_string(r->photo) : json_null());
  if (!r->has_share) return json;
  json = dw_json_with(json, "share", dw_json_round(r->share, 4));
  json = dw_json_with(json, "share_doubt", dw_json_round(r->share_doubt, 4));
  return dw_json_with(json, "spread_de00", dw_json_round(r->spread_de00, 2));
}

static dw_status run_list(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_batch batch = {0};
  dw_reading_kept *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = load(args, book, &batch, &list, &n, err);
  dw_text_add(&text, "Batch %s%s%s\n", batch.name, *batch.note ? ": " : "", batch.note);
  for (size_t i = 0; i < n; i++) {
    cli_reading_text(&list[i], &args->style, &text);
    array = dw_json_and(array, cli_reading_json(&list[i]));
  }
  if (n == 0) dw_text_add(&text, "No reading.\n");
  free(list);
  json_t *travels = json_array();
  if (status == DW_OK) status = cli_travels_put(book, batch.id, travels, &text, err);
  return cli_book_say(args, book, status,
                      json_pack("{s:s, s:s, s:o, s:o}", "batch", batch.name, "note", batch.note, "readings",
                                array, "travels", travels),
                      &text, err);
}

static dw_status take_one(const cli_args *args, dw_book *book, taken_back *back, dw_error *err) {
  int64_t id;
  dw_status status = cli_id(args->word[2], "reading", "dropwise reading list", &id, err);
  if (status == DW_OK) status = load(args, book, &back->batch, &back->list, &back->n, err);
  for (size_t i = 0; i < back->n && status == DW_OK; i++) {
    if (back->list[i].id != id) continue;
    back->list[0] = back->list[i];
    back->n = 1;
    return DW_OK;
  }
  if (status != DW_OK) return status;
  return dw_fail(err, DW_NOT_FOUND, "Batch %s has no reading %lld; dropwise reading list shows them.",
                 back->batch.name, (long long)id);
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  if (cli_travel_named(args->word[2])) return cli_travel_remove(args, err);
  taken_back *back = calloc(1, sizeof *back);
  if (!back) return dw_fail_memory(err, "the readings");
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = take_one(args, book, back, err);
  return finish(args, book, back, status, err);
}

/* ---- corrected ----------------------------------------------------------------------------------------- */

static dw_status correct(const cli_args *args, dw_book *book, taken_back *back, dw_error *err) {
  const char *to_batch = cli_value(args, "--to-batch"), *to_layer = cli_value(args, "--to-layer");
  const dw_reading_kept *reading = &back->list[0];
  const dw_pattern_layer *layer = NULL;
  dw_pattern pattern;
  dw_batch batch = back->batch;
  size_t bait;
  dw_learned learned;
  dw_status status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK && to_batch) status = cli_batch_take(args, book, pattern.id, to_batch, &batch, err);
  if (status == DW_OK && to_layer) status = dw_pattern_layer_find(&pattern, to_layer, &layer, err);
  if (status == DW_OK) status = cli_whole(args, "--bait", 1, 100000, (size_t)reading->bait + 1, &bait, err);
  if (status == DW_OK)
    status =
        dw_reading_move(book, reading->id, batch.id, layer ? layer->id : reading->layer, (int)bait - 1, err);
  return status == DW_OK ? dw_book_learn_anew(book, &learned, err) : status;
}

static dw_status run_correct(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  if (cli_travel_named(args->word[2])) return cli_travel_correct(args, err);
  taken_back *back = calloc(1, sizeof *back);
  if (!back) return dw_fail_memory(err, "the readings");
  dw_status status = cli_batch_ask(args, args->word[1], "--to-batch", err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = take_one(args, book, back, err);
  if (status == DW_OK) status = correct(args, book, back, err);
  free(back->list);
  free(back);
  return cli_say_change(args, book, status, err);
}

static const cli_verb verbs[] = {
    {"list", "PATTERN [--batch NAME]", 1, 1, run_list},
    {"correct", "PATTERN NUMBER [--batch NAME] [--to-batch NAME] [--to-layer NAME] [--bait N]", 2, 2,
     run_correct},
    {"remove", "PATTERN NUMBER [--batch NAME]", 2, 2, run_remove},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_reading = {
    .name = "reading",
    .summary = "colors read of a batch: show them, move or remove a wrong one",
    .usage =
        "list PATTERN [--batch NAME] | correct PATTERN NUMBER ... | remove PATTERN NUMBER [--batch NAME]",
    .about = "correct moves a reading to the batch, layer or bait that it is of. What the pours teach of the "
             "bottles is\n"
             "worked out anew. A travel of a turned bait has a number with a t, as in t3. dropwise undo "
             "takes back what was "
             "logged last.",
    .example = "dropwise reading correct \"creek crawfish\" 12 --to-layer belly",
    .options = options,
    .run = run,
};
