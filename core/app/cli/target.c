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
  dw_target target;
  char *detail;
  bool no_card;
  cli_photos photos;
} target_work;

static dw_status detail_set(json_t *json, target_work *work, dw_error *err) {
  work->detail = json ? json_dumps(json, JSON_COMPACT) : NULL;
  json_decref(json);
  work->target.detail = work->detail;
  return work->detail ? DW_OK : dw_fail_memory(err, "how the target was obtained");
}

static dw_status from_numbers(const cli_args *args, target_work *work, dw_error *err) {
  work->target.how = DW_TARGET_NUMBERS;
  return cli_lab(cli_value(args, "--lab"), "--lab", &work->target.lab, err);
}

/* "creek crawfish/belly": the last slash parts them. */
static dw_status from_layer(dw_book *book, const cli_args *args, target_work *work, dw_error *err) {
  char name[DW_PATTERN_NAME_ROOM];
  const char *from = cli_value(args, "--from"), *slash = strrchr(from, '/');
  size_t length = slash ? (size_t)(slash - from) : 0;
  if (!slash || length >= sizeof name)
    return dw_fail(err, DW_USAGE,
                   "--from takes PATTERN/LAYER, as in \"creek crawfish/belly\", not \"%.60s\".", from);
  memcpy(name, from, length);
  name[length] = '\0';
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_status status = dw_pattern_find(book, name, &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, slash + 1, &layer, err);
  if (status == DW_OK && !layer->has_target)
    status = dw_fail(err, DW_NOT_FOUND, "%s has no target yet.", from);
  if (status != DW_OK) return status;
  work->target.lab = layer->target;
  work->target.uncertainty_de00 = layer->target_uncertainty_de00;
  work->target.how = DW_TARGET_LAYER;
  work->no_card = layer->target_no_card;
  return detail_set(json_pack("{s:s, s:s, s:b}", "pattern", pattern.name, "layer", layer->name, "no_card",
                              layer->target_no_card),
                    work, err);
}

static dw_status from_photos(dw_book *book, const char *layer, target_work *work, dw_error *err) {
  dw_reading mean;
  double spread;
  json_t *each = json_array();
  dw_status status = cli_photos_mean(&work->photos, layer, &mean, &spread, err);
  for (size_t i = 0; i < work->photos.n && status == DW_OK; i++) {
    int64_t id;
    status = dw_keep_photo(book, &work->photos.photo[i], &id, err);
    if (i == 0) work->target.photo = id;
    work->no_card = work->no_card || work->photos.photo[i].marks.method == DW_LIGHT_NONE;
    each = dw_json_and(each, dw_read_photo_detail(&work->photos.photo[i], layer));
  }
  if (status != DW_OK) {
    json_decref(each);
    return status;
  }
  work->target.lab = mean.lab;
  work->target.uncertainty_de00 = spread > mean.uncertainty_de00 ? spread : mean.uncertainty_de00;
  work->target.how = work->photos.n > 1 ? DW_TARGET_PHOTOS : DW_TARGET_PHOTO;
  return detail_set(json_pack("{s:o, s:o}", "photos", each, "spread_de00", dw_json_round(spread, 2)), work,
                    err);
}

static dw_status find_source(const cli_args *args, dw_error *err) {
  int sources = cli_has(args, "--lab") + cli_has(args, "--from") + cli_has(args, "--photo");
  if (sources == 1) return DW_OK;
  return dw_fail(err, DW_USAGE, "target set needs one of --lab, --photo and --from.");
}

/* ---- commands ------------------------------------------------------------------------------------------ */

static dw_status say_target(const cli_args *args, const char *pattern, const char *layer,
                            const dw_target *target, bool no_card, dw_error *err) {
  char doubt[DW_NOTE_TEXT];
  dw_text text = {0};
  dw_text_add(&text, "%s/%s: ", pattern, layer);
  dw_text_swatch(target->lab, &args->style, &text);
  dw_text_lab(target->lab, &text);
  dw_text_add(&text, ", %s", dw_target_how_words(target->how));
  if (target->uncertainty_de00 > 0) dw_text_add(&text, ", doubt %.1f", target->uncertainty_de00);
  dw_text_add(&text, "\n");
  dw_target_doubt_words(no_card, target->uncertainty_de00, doubt, sizeof doubt);
  if (*doubt)
    dw_text_add(&text, "! %s%s\n", doubt,
                no_card ? " Put a card beside the bait (docs/photographing.md)." : "");
  json_t *json =
      json_pack("{s:s, s:s, s:o, s:s, s:o, s:b, s:s}", "pattern", pattern, "layer", layer, "target",
                dw_json_lab(target->lab), "how", dw_target_how_words(target->how), "uncertainty_de00",
                dw_json_round(target->uncertainty_de00, 2), "no_card", no_card, "warning", doubt);
  return cli_say(args, json, &text, err);
}

static dw_status set_target(const cli_args *args, dw_book *book, target_work *work, dw_error *err) {
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_status status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, args->word[2], &layer, err);
  if (status != DW_OK) return status;
  if (cli_has(args, "--lab"))
    status = from_numbers(args, work, err);
  else if (cli_has(args, "--from"))
    status = from_layer(book, args, work, err);
  else
    status = from_photos(book, layer->name, work, err);
  return status == DW_OK ? dw_target_set(book, layer->id, &work->target, err) : status;
}

static dw_status run_set(const cli_args *args, dw_error *err) {
  target_work work = {0};
  dw_book *book = NULL;
  dw_status status = find_source(args, err);
  /* The photos are read before the book is locked. */
  if (status == DW_OK) status = cli_photos_read(args, args->word[2], &work.photos, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = set_target(args, book, &work, err);
  status = cli_book_keep(args, "The target was kept", book, status, err);
  if (status == DW_OK)
    status = say_target(args, args->word[1], args->word[2], &work.target, work.no_card, err);
  cli_photos_free(&work.photos);
  free(work.detail);
  return status;
}

static json_t *past_json(const dw_target_past *past) {
  json_t *detail = json_loads(past->detail, 0, NULL);
  return json_pack("{s:o, s:o, s:b, s:s, s:s, s:o, s:o}", "lab", dw_json_lab(past->lab), "uncertainty_de00",
                   dw_json_round(past->uncertainty_de00, 2), "no_card", past->no_card, "how",
                   dw_target_how_words(past->how), "since", past->created, "photo",
                   *past->photo ? json_string(past->photo) : json_null(), "detail",
                   detail ? detail : json_object());
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
  status = cli_book_done(book, status, err);
  if (status == DW_OK) return cli_say(args, json_pack("{s:o}", "targets", array), &text, err);
  json_decref(array);
  dw_text_free(&text);
  return status;
}

static const cli_verb verbs[] = {
    {"set", "PATTERN LAYER --lab LAB | --photo PHOTO... | --from PATTERN/LAYER", 2, 2, run_set},
    {"history", "PATTERN LAYER", 2, 2, run_history},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_target = {
    .name = "target",
    .summary = "the color a pattern's layer is to have, and its history",
    .usage = "set PATTERN LAYER --lab LAB | --photo PHOTO... | --from PATTERN/LAYER; history PATTERN LAYER",
    .about =
        "A photo's layer of the same name becomes the target, or what --region marks; of several photos the\n"
        "mean does, with their spread. The target before stays in the history.",
    .example = "dropwise target set \"creek crawfish\" back --photo live.jpg --marks live.marks.json",
    .options = options,
    .run = run,
};
