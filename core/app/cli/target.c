#include "app/cli/book.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--lab", "LAB", "set: from numbers"},
    {"--from", "PATTERN/LAYER", "set: as another layer's target is now"},
    CLI_PHOTO_OPTIONS,
    {NULL, NULL, NULL},
};

/* ---- where a target comes from ------------------------------------------------------------------------- */

/* A target with the detail text that it borrows. */
typedef struct target_work {
  const dw_pattern_layer *layer;
  dw_target target;
  char *detail; /* owned */
  bool no_card;
} target_work;

/* The layers that the command sets: one, or all of the pattern. */
typedef struct target_job {
  dw_pattern pattern;
  cli_photos photos;
  size_t n;
  target_work work[DW_PATTERN_LAYERS_MAX];
} target_job;

static dw_status detail_set(json_t *json, target_work *work, dw_error *err) {
  work->detail = json ? dw_json_write(json, JSON_COMPACT) : NULL;
  json_decref(json);
  work->target.detail = work->detail;
  return work->detail ? DW_OK : dw_fail_memory(err, "how the target was obtained");
}

static dw_status from_numbers(const cli_args *args, target_work *work, dw_error *err) {
  work->target.how = DW_TARGET_NUMBERS;
  return cli_lab(cli_value(args, "--lab"), "--lab", &work->target.lab, err);
}

static dw_status from_layer(dw_book *book, const cli_args *args, target_work *work, dw_error *err) {
  char name[DW_PATTERN_NAME_ROOM];
  const char *from = cli_value(args, "--from"), *layer_name;
  if (!cli_split_layer(from, name, &layer_name))
    return dw_fail(err, DW_USAGE,
                   "--from takes PATTERN/LAYER, as in \"creek crawfish/belly\", not \"%.60s\".", from);
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_status status = dw_pattern_find(book, name, &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, layer_name, &layer, err);
  if (status != DW_OK) return status;
  work->no_card = layer->target_no_card;
  return dw_target_of_layer(&pattern, layer, &work->target, &work->detail, err);
}

static dw_status from_photos(dw_book *book, const cli_photos *photos, target_work *work, dw_error *err) {
  const char *layer = work->layer->name;
  dw_reading mean;
  double spread;
  json_t *each = json_array();
  dw_status status = cli_photos_mean(photos, layer, &mean, &spread, err);
  for (size_t i = 0; i < photos->n && status == DW_OK; i++) {
    int64_t id;
    status = dw_keep_photo(book, &photos->photo[i], &id, err);
    if (i == 0) work->target.photo = id;
    work->no_card = work->no_card || photos->photo[i].marks.method == DW_LIGHT_NONE;
    each = dw_json_and(each, dw_read_photo_detail(&photos->photo[i], layer));
  }
  if (status != DW_OK) {
    json_decref(each);
    return status;
  }
  work->target.lab = mean.lab;
  work->target.uncertainty_de00 = spread > mean.uncertainty_de00 ? spread : mean.uncertainty_de00;
  work->target.how = photos->shots > 1 ? DW_TARGET_PHOTOS : DW_TARGET_PHOTO;
  return detail_set(json_pack("{s:o, s:o}", "photos", each, "spread_de00", dw_json_round(spread, 2)), work,
                    err);
}

static dw_status find_source(const cli_args *args, dw_error *err) {
  int sources = cli_has(args, "--lab") + cli_has(args, "--from") + cli_has(args, "--photo");
  if (args->n_words == 2 && (sources != 1 || !cli_has(args, "--photo")))
    return dw_fail(err, DW_USAGE, "Say which layer of \"%.60s\" is meant; only --photo sets them all.",
                   args->word[1]);
  if (sources == 1) return DW_OK;
  return dw_fail(err, DW_USAGE, "target set needs one of --lab, --photo and --from.");
}

/* ---- commands ------------------------------------------------------------------------------------------ */

static void target_text(const char *pattern, const target_work *work, const dw_style *style, dw_text *out) {
  const dw_target *target = &work->target;
  char doubt[DW_NOTE_TEXT];
  dw_text_add(out, "%s/%s: ", pattern, work->layer->name);
  dw_text_swatch(target->lab, style, out);
  dw_text_lab(target->lab, out);
  dw_text_add(out, ", %s", dw_target_how_words(target->how));
  if (target->uncertainty_de00 > 0) dw_text_add(out, ", doubt %.1f", target->uncertainty_de00);
  dw_text_add(out, "\n");
  dw_target_doubt_words(work->no_card, target->uncertainty_de00, doubt, sizeof doubt);
  if (*doubt)
    dw_text_add(out, "! %s%s\n", doubt,
                work->no_card ? " Put a card beside the bait (docs/photographing.md)." : "");
}

static json_t *target_json(const char *pattern, const target_work *work) {
  const dw_target *target = &work->target;
  char doubt[DW_NOTE_TEXT];
  dw_target_doubt_words(work->no_card, target->uncertainty_de00, doubt, sizeof doubt);
  return json_pack("{s:s, s:s, s:o, s:s, s:o, s:b, s:s}", "pattern", pattern, "layer", work->layer->name,
                   "target", dw_json_lab(target->lab), "how", dw_target_how_words(target->how),
                   "uncertainty_de00", dw_json_round(target->uncertainty_de00, 2), "no_card", work->no_card,
                   "warning", doubt);
}

static json_t *job_json(const cli_args *args, const target_job *job) {
  if (args->n_words == 3) return cli_photos_json(&job->photos, target_json(job->pattern.name, &job->work[0]));
  json_t *list = json_array();
  for (size_t i = 0; i < job->n; i++) list = dw_json_and(list, target_json(job->pattern.name, &job->work[i]));
  return cli_photos_json(&job->photos, json_pack("{s:o}", "targets", list));
}

static dw_status say_job(const cli_args *args, const target_job *job, dw_error *err) {
  dw_text text = {0};
  cli_photos_say(&job->photos, &text);
  for (size_t i = 0; i < job->n; i++) target_text(job->pattern.name, &job->work[i], &args->style, &text);
  return cli_say(args, job_json(args, job), &text, err);
}

static dw_status set_target(const cli_args *args, dw_book *book, const cli_photos *photos, target_work *work,
                            dw_error *err) {
  dw_status status;
  if (cli_has(args, "--lab"))
    status = from_numbers(args, work, err);
  else if (cli_has(args, "--from"))
    status = from_layer(book, args, work, err);
  else
    status = from_photos(book, photos, work, err);
  return status == DW_OK ? dw_target_set(book, work->layer->id, &work->target, err) : status;
}

static dw_status set_targets(const cli_args *args, dw_book *book, target_job *job, dw_error *err) {
  dw_status status = dw_pattern_find(book, args->word[1], &job->pattern, err);
  job->n = args->n_words == 2 ? job->pattern.n : 1;
  for (size_t i = 0; i < job->n; i++) job->work[i].layer = &job->pattern.layer[i];
  if (status == DW_OK && args->n_words == 3)
    status = dw_pattern_layer_find(&job->pattern, args->word[2], &job->work[0].layer, err);
  for (size_t i = 0; i < job->n && status == DW_OK; i++)
    status = set_target(args, book, &job->photos, &job->work[i], err);
  return status;
}

static dw_status run_set(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  target_job *job = calloc(1, sizeof *job);
  dw_status status = job ? find_source(args, err) : dw_fail_memory(err, "the targets");
  if (status == DW_OK)
    status = cli_photos_of_pattern(args, args->word[1], args->n_words == 3 ? args->word[2] : NULL,
                                   &job->photos, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = set_targets(args, book, job, err);
  status = cli_book_keep(args, args->n_words == 2 ? "The targets were kept" : "The target was kept", book,
                         status, err);
  if (status == DW_OK) status = say_job(args, job, err);
  if (job) cli_photos_free(&job->photos);
  for (size_t i = 0; job && i < job->n; i++) free(job->work[i].detail);
  free(job);
  return status;
}

static json_t *past_json(const dw_target_past *past) {
  json_t *detail = NULL;
  dw_error why;
  if (dw_json_parse(past->detail, strlen(past->detail), "a target's detail", &detail, &why) == DW_BAD_INPUT)
    detail = json_object();
  return json_pack("{s:o, s:o, s:b, s:s, s:s, s:o, s:o}", "lab", dw_json_lab(past->lab), "uncertainty_de00",
                   dw_json_round(past->uncertainty_de00, 2), "no_card", past->no_card, "how",
                   dw_target_how_words(past->how), "since", past->created, "photo",
                   *past->photo ? json_string(past->photo) : json_null(), "detail", detail);
}

static void past_text(const dw_target_past *past, const dw_style *style, dw_text *out) {
  char doubt[DW_NOTE_TEXT];
  dw_text_add(out, "%.16s  ", past->created);
  dw_text_swatch(past->lab, style, out);
  dw_text_lab(past->lab, out);
  dw_text_add(out, "  %s", dw_target_how_words(past->how));
  if (*past->photo) dw_text_add(out, " %.12s", past->photo);
  if (past->uncertainty_de00 > 0) dw_text_add(out, ", doubt %.1f", past->uncertainty_de00);
  dw_target_doubt_words(past->no_card, past->uncertainty_de00, doubt, sizeof doubt);
  dw_text_add(out, "%s%s\n", *doubt ? "  ! " : "", doubt);
}

static dw_status run_history(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_target_past *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, args->word[2], &layer, err);
  if (status == DW_OK) status = dw_target_history(book, layer->id, &list, &n, err);
  for (size_t i = 0; i < n; i++) {
    array = dw_json_and(array, past_json(&list[i]));
    past_text(&list[i], &args->style, &text);
  }
  if (n == 0) dw_text_add(&text, "%s/%s has no target yet.\n", args->word[1], args->word[2]);
  dw_target_history_free(list, n);
  return cli_book_say(args, book, status, json_pack("{s:o}", "targets", array), &text, err);
}

static const cli_verb verbs[] = {
    {"set", "PATTERN LAYER --lab LAB | --photo PHOTO... | --from PATTERN/LAYER", 1, 2, run_set},
    {"history", "PATTERN LAYER", 2, 2, run_history},
    {NULL, NULL, 0, 0, NULL},
};

/* "target PATTERN --photo PHOTO" is short for "target set PATTERN --photo PHOTO". */
static dw_status run(const cli_args *args, dw_error *err) {
  if (args->n_words == 1 && cli_has(args, "--photo") && strcmp(args->word[0], "set") != 0) {
    cli_args whole = *args;
    whole.n_words = 2;
    whole.word[0] = "set";
    whole.word[1] = args->word[0];
    return run_set(&whole, err);
  }
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_target = {
    .name = "target",
    .summary = "the color a pattern's layer is to have, and its history",
    .usage = "set PATTERN LAYER --lab LAB | --photo PHOTO... | --from PATTERN/LAYER; set PATTERN --photo "
             "PHOTO...; history PATTERN LAYER",
    .about =
        "A photo's layer of the same name becomes the target, or what --region marks; where none is "
        "marked\n"
        "the layer of the baits found in it, counted from the back. Of several baits or photos the mean "
        "does, "
        "with\n"
        "their spread. Without a layer all of the pattern's targets are set. The target before stays in the "
        "history.",
    .example = "dropwise target set \"creek crawfish\" back --photo live.jpg --marks live.marks.json",
    .options = options,
    .run = run,
};
