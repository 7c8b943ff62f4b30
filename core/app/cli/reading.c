/* Readings in the book: shown, and taken back when they were wrong. */
#include "app/cli/book.h"

#include <stdlib.h>

static const cli_option options[] = {
    {"--batch", "NAME", "of this batch; default the last one, undo: any"},
    {"--layer", "NAME", "undo: only of this layer"},
    {NULL, NULL, NULL},
};

/* ---- taking back --------------------------------------------------------------------------------------- */

/* Readings taken back, and what the bottles are believed to be without them. */
typedef struct taken_back {
  pt_batch batch;
  pt_reading_kept *list;
  size_t n;
  pt_learned learned;
  pt_shelf *shelf; /* owned, as list */
} taken_back;

static pt_status remove_all(pt_book *book, taken_back *back, pt_error *err) {
  pt_status status = PT_OK;
  for (size_t i = 0; i < back->n && status == PT_OK; i++)
    status = pt_reading_remove(book, back->list[i].id, err);
  if (status == PT_OK) status = pt_book_shelf(book, &back->shelf, NULL, err);
  return status == PT_OK ? pt_book_learn(book, back->shelf, &back->learned, err) : status;
}

static pt_status say_back(const cli_args *args, const taken_back *back, pt_error *err) {
  pt_text text = {0};
  json_t *list = json_array();
  for (size_t i = 0; i < back->n; i++) {
    const pt_reading_kept *r = &back->list[i];
    pt_text_add(&text, "Taken back from batch %s: %s, read as %.2f,%.2f,%.2f%s.\n", back->batch.name,
                r->layer_name, r->lab.L, r->lab.a, r->lab.b, *r->photo ? " from a photo" : "");
    json_array_append_new(list, json_pack("{s:I, s:s, s:o}", "id", (json_int_t)r->id, "layer", r->layer_name,
                                          "lab", pt_json_lab(r->lab)));
  }
  pt_text_add(&text, "What the pours teach of the bottles was worked out anew without it.\n");
  for (size_t i = 0; i < back->learned.n; i++)
    if (*back->learned.bottle[i].words)
      pt_text_add(&text, "Still learned: %s.\n", back->learned.bottle[i].words);
  return cli_say(args, json_pack("{s:s, s:o}", "batch", back->batch.name, "taken_back", list), &text, err);
}

static pt_status finish(const cli_args *args, pt_book *book, taken_back *back, pt_status status,
                        pt_error *err) {
  if (status == PT_OK) status = remove_all(book, back, err);
  status = cli_book_done(book, status, err);
  if (status == PT_OK) status = say_back(args, back, err);
  free(back->list);
  pt_shelf_free(back->shelf);
  free(back);
  return status;
}

static pt_status find_batch(const cli_args *args, pt_book *book, const pt_pattern *pattern, pt_batch *out,
                            pt_error *err) {
  const char *name = cli_value(args, "--batch");
  if (name) return pt_batch_find(book, pattern->id, name, out, err);
  *out = (pt_batch){0};
  return PT_OK;
}

pt_status cli_readings_undo(const cli_args *args, const char *name, pt_error *err) {
  pt_book *book = NULL;
  pt_pattern pattern;
  const pt_pattern_layer *layer = NULL;
  const char *layer_name = cli_value(args, "--layer");
  int64_t batch = 0;
  taken_back *back = calloc(1, sizeof *back);
  if (!back) return pt_fail_memory(err, "the readings");
  pt_status status = cli_book_write(args, &book, err);
  if (status == PT_OK) status = pt_pattern_find(book, name, &pattern, err);
  if (status == PT_OK) status = find_batch(args, book, &pattern, &back->batch, err);
  if (status == PT_OK && layer_name) status = pt_pattern_layer_find(&pattern, layer_name, &layer, err);
  if (status == PT_OK)
    status = pt_reading_last(book, pattern.id, back->batch.id, layer ? layer->id : 0, &batch, &back->list,
                             &back->n, err);
  if (status == PT_OK) status = pt_batch_get(book, batch, &back->batch, err);
  return finish(args, book, back, status, err);
}

static pt_status run_undo(const cli_args *args, pt_error *err) {
  return cli_readings_undo(args, args->word[1], err);
}

/* ---- any reading --------------------------------------------------------------------------------------- */

static pt_status load(const cli_args *args, pt_book *book, pt_batch *batch, pt_reading_kept **out, size_t *n,
                      pt_error *err) {
  pt_pattern pattern;
  pt_batch *list = NULL;
  size_t batches = 0;
  pt_status status = pt_pattern_find(book, args->word[1], &pattern, err);
  if (status == PT_OK) status = find_batch(args, book, &pattern, batch, err);
  if (status == PT_OK && !batch->id) status = pt_batch_list(book, pattern.id, &list, &batches, err);
  if (status == PT_OK && batches) *batch = list[batches - 1];
  free(list);
  if (status == PT_OK && !batch->id)
    status = pt_fail(err, PT_NOT_FOUND, "\"%s\" has no batch yet.", pattern.name);
  return status == PT_OK ? pt_reading_list(book, batch->id, out, n, err) : status;
}

static pt_status run_list(const cli_args *args, pt_error *err) {
  pt_book *book = NULL;
  pt_batch batch = {0};
  pt_reading_kept *list = NULL;
  size_t n = 0;
  pt_text text = {0};
  json_t *array = json_array();
  pt_status status = cli_book_read(args, &book, err);
  if (status == PT_OK) status = load(args, book, &batch, &list, &n, err);
  pt_text_add(&text, "Batch %s%s%s\n", batch.name, *batch.note ? ": " : "", batch.note);
  for (size_t i = 0; i < n; i++) {
    const pt_reading_kept *r = &list[i];
    pt_text_add(&text, "%6lld  %.16s  %-12s ", (long long)r->id, r->taken, r->layer_name);
    pt_text_swatch(r->lab, &args->style, &text);
    pt_text_add(&text, "%.2f,%.2f,%.2f  bait %d%s%.12s\n", r->lab.L, r->lab.a, r->lab.b, r->bait + 1,
                *r->photo ? ", photo " : ", from numbers", r->photo);
    json_array_append_new(array, json_pack("{s:I, s:s, s:s, s:o, s:I}", "id", (json_int_t)r->id, "taken",
                                           r->taken, "layer", r->layer_name, "lab", pt_json_lab(r->lab),
                                           "bait", (json_int_t)r->bait + 1));
  }
  if (n == 0) pt_text_add(&text, "No reading.\n");
  free(list);
  status = cli_book_done(book, status, err);
  if (status == PT_OK)
    return cli_say(args,
                   json_pack("{s:s, s:s, s:o}", "batch", batch.name, "note", batch.note, "readings", array),
                   &text, err);
  json_decref(array);
  pt_text_free(&text);
  return status;
}

static pt_status take_one(const cli_args *args, pt_book *book, taken_back *back, pt_error *err) {
  double id;
  if (!pt_parse_number_in(args->word[2], 1, 1e15, &id))
    return pt_fail(err, PT_USAGE, "\"%.40s\" is no reading's number; pourtone reading list shows them.",
                   args->word[2]);
  pt_status status = load(args, book, &back->batch, &back->list, &back->n, err);
  for (size_t i = 0; i < back->n && status == PT_OK; i++) {
    if (back->list[i].id != (int64_t)id) continue;
    back->list[0] = back->list[i];
    back->n = 1;
    return PT_OK;
  }
  if (status != PT_OK) return status;
  return pt_fail(err, PT_NOT_FOUND, "Batch %s has no reading %.0f; pourtone reading list shows them.",
                 back->batch.name, id);
}

static pt_status run_remove(const cli_args *args, pt_error *err) {
  pt_book *book = NULL;
  taken_back *back = calloc(1, sizeof *back);
  if (!back) return pt_fail_memory(err, "the readings");
  pt_status status = cli_book_write(args, &book, err);
  if (status == PT_OK) status = take_one(args, book, back, err);
  return finish(args, book, back, status, err);
}

static const cli_verb verbs[] = {
    {"list", "PATTERN [--batch NAME]", 1, 1, run_list},
    {"undo", "PATTERN [--batch NAME] [--layer NAME]", 1, 1, run_undo},
    {"remove", "PATTERN NUMBER [--batch NAME]", 2, 2, run_remove},
    {NULL, NULL, 0, 0, NULL},
};

static pt_status run(const cli_args *args, pt_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_reading = {
    .name = "reading",
    .summary = "colors read of a batch: show them, take back a wrong one",
    .usage = "list PATTERN [--batch NAME] | undo PATTERN | remove PATTERN NUMBER [--batch NAME]",
    .about =
        "undo takes back what was logged last, all layers of its photo. What the pours teach of the bottles\n"
        "is worked out anew without it; the batch's note says that it was taken back.",
    .example = "pourtone reading undo \"creek crawfish\"",
    .options = options,
    .run = run,
};
