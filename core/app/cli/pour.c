#include "app/cli/pour.h"
#include "app/cli/drizzle.h"

#include <math.h>
#include <stdlib.h>

#define SHARE_BY_EYE 0.05 /* doubt of a typed share: our assumption */

static const cli_option options[] = {
    {"--batch", "NAME", "which batch; default: with --cup the next number, else the last one"},
    CLI_NEW_OPTION,
    {"--layer", "NAME", "whose cup; not needed for a pattern of one layer"},
    {"--cup", "DROPS", "what a fresh cup holds, as in orange=12,brown=4"},
    {"--volume", "VOLUME",
     "clear base in a fresh cup, as in 4floz or 120ml; default the book's setting, else 4 fl oz"},
    {"--capacity", "VOLUME", "what a fresh cup holds at most; default 5/4 of the volume"},
    {"--advised", NULL, "fill fresh cups as advised: all layers, or that of --layer"},
    {"--add", "DROPS", "drops added to the cup since, as in brown=3"},
    {"--clear", "VOLUME", "clear base added to the cup since"},
    {"--temperature", "DEGREES",
     "of the cup, as in 350F or 177C; a plain number is in F (with --metric in C)"},
    {"--measured", "LAB", "the color read from the bait"},
    {"--uncertainty", "DE00", "the doubt of --measured, CIEDE2000; default 0.5: one camera, one light"},
    {"--bait", "N",
     "which bait of the batch was read, of several found in a photo the first: one for all photos, or one "
     "each; "
     "default 1, several after those of the batch"},
    {"--share", "PERCENT", "with --measured: how much of the bait the color of a swirl has"},
    {"--blend", "MM", "width of the blend between the layers"},
    {"--good", NULL, "the batch is good: its measured layers may serve for drift's limits and the next cup"},
    {"--force", NULL, "with --good: though it is far from its target"},
    {"--not-good", NULL, "the batch is not good after all"},
    {"--note", "TEXT", "a note on the batch"},
    CLI_SLAB_GIVEN_OPTIONS,
    CLI_PHOTO_OPTIONS,
    {"--drizzle", "PHOTO", "read it from drops of all cups side by side on a white table (dropwise drizzle)"},
    CLI_ORDER_OPTION,
    CLI_SET_OPTION,
    {NULL, NULL, NULL},
};

/* ---- what was measured --------------------------------------------------------------------------------- */

/* Told by eye: known as well as that. */
static dw_status share_of(const cli_args *args, dw_book_reading *out, dw_error *err) {
  double percent;
  dw_status status = cli_number(args, "--share", 0, 100, 0, &percent, err);
  out->has_share = true;
  out->share = percent / 100;
  out->share_doubt = SHARE_BY_EYE;
  return status;
}

static dw_status log_numbers(const cli_args *args, dw_book *book, int64_t batch, int64_t layer, int64_t pour,
                             dw_error *err) {
  dw_book_reading reading = {
      .batch = batch, .layer = layer, .pour = pour, .kept = NAN, .gloss = NAN, .flake = NAN};
  int64_t id;
  dw_status status = cli_lab(cli_value(args, "--measured"), "--measured", &reading.lab, err);
  if (status == DW_OK) status = cli_bait_of(args, 0, 1, &reading.bait, err);
  if (status == DW_OK)
    status =
        cli_number(args, "--uncertainty", 0, 100, DW_MEASURED_DOUBT_DE00, &reading.uncertainty_de00, err);
  if (status == DW_OK && cli_has(args, "--share")) status = share_of(args, &reading, err);
  return status == DW_OK ? dw_reading_log(book, &reading, &id, err) : status;
}

static dw_status log_photos(const cli_args *args, dw_book *book, const cli_poured *poured, dw_error *err) {
  int bait[CLI_BAITS_MAX];
  dw_status status = cli_baits_number(args, book, poured->batch.id, &poured->photos, bait, err);
  for (size_t i = 0; i < poured->photos.n && status == DW_OK; i++)
    status = dw_keep_readings(book, &poured->pattern, poured->batch.id, &poured->photos.photo[i],
                              poured->shelf, &poured->slab, bait[i], err);
  return status;
}

/* ---- the batch ----------------------------------------------------------------------------------------- */

static dw_status set_batch(const cli_args *args, dw_book *book, int64_t batch, dw_error *err) {
  const char *note = cli_value(args, "--note");
  double blend;
  dw_status status = DW_OK;
  if (note) status = dw_batch_set_note(book, batch, note, err);
  if (status == DW_OK) status = cli_number(args, "--blend", 0, 1000, NAN, &blend, err);
  if (status == DW_OK && !isnan(blend)) status = dw_batch_set_blend(book, batch, blend, err);
  return status;
}

/* The layer that --layer names, or the only one; *out NULL when a photo shows them all. */
static dw_status find_layer(const cli_args *args, const dw_pattern *pattern, const dw_pattern_layer **out,
                            dw_error *err) {
  const char *name = cli_value(args, "--layer");
  *out = pattern->n == 1 ? &pattern->layer[0] : NULL;
  if (name) return dw_pattern_layer_find(pattern, name, out, err);
  bool one = cli_has(args, "--cup") || cli_has(args, "--add") || cli_has(args, "--clear") ||
             cli_has(args, "--temperature") || cli_has(args, "--measured");
  if (!*out && one && !cli_has(args, "--advised"))
    return dw_fail(err, DW_USAGE, "\"%s\" has %zu layers; say which one with --layer.", pattern->name,
                   pattern->n);
  return DW_OK;
}

/* ---- what to say --------------------------------------------------------------------------------------- */

/* The last pour; its color as it was read where nothing of it is trusted, so that it can be shown. */
static dw_status take_last_pour(dw_book *book, const cli_poured *poured, cli_poured_layer *out,
                                dw_error *err) {
  dw_pour_kept *all = NULL, *trusted = NULL;
  size_t n = 0;
  dw_status status = dw_pour_list(book, out->kept.id, &all, &n, err);
  if (status == DW_OK)
    status = dw_pours_trusted(book, &out->kept, poured->shelf, &trusted, &n, &out->aside, err);
  if (status == DW_OK && n > 0) {
    out->has_pour = true;
    out->pour = trusted[n - 1].has_measured ? trusted[n - 1] : all[n - 1];
    out->has_measured = out->pour.has_measured;
  }
  free(all);
  free(trusted);
  return status;
}

static dw_status look_at_layer(dw_book *book, const cli_poured *poured, const dw_pattern_layer *layer,
                               cli_poured_layer *out, dw_error *err) {
  *out = (cli_poured_layer){.layer = layer};
  dw_status status = dw_book_cup_find(book, poured->batch.id, layer->id, &out->kept, err);
  if (status == DW_NOT_FOUND) return DW_OK;
  out->has_cup = status == DW_OK;
  if (status == DW_OK)
    status = dw_book_cup_now(book, out->kept.id, poured->shelf, &out->cup, &out->missing, err);
  return status == DW_OK ? take_last_pour(book, poured, out, err) : status;
}

static dw_status look_at_all(const cli_args *args, dw_book *book, cli_poured *poured, dw_error *err) {
  const dw_pattern_layer *only = NULL;
  dw_status status = find_layer(args, &poured->pattern, &only, err);
  for (size_t i = 0; i < poured->pattern.n && status == DW_OK; i++) {
    const dw_pattern_layer *layer = &poured->pattern.layer[i];
    if (only && only != layer && poured->photos.n == 0 && !poured->drizzled) continue;
    status = look_at_layer(book, poured, layer, &poured->layer[poured->n++], err);
  }
  return status;
}

/* ---- what to add --------------------------------------------------------------------------------------- */

static dw_status ask(dw_book *book, cli_poured *poured, dw_batch_question *question, dw_error *err) {
  const dw_cup as_last = {0};
  const dw_slab as_poured = {NAN, NAN};
  question->plugins = &poured->plugins;
  dw_status status = dw_batch_question_load(book, &poured->pattern, poured->batch.id, poured->shelf, &as_last,
                                            &as_poured, question, err);
  if (status == DW_OK && question->request.n > 0) status = dw_batch_advise(question, &poured->advice, err);
  return status;
}

/* Of what was measured; the rest of the batch is asked with it, as everywhere. */
static void take_advice(const dw_batch_advice *advice, cli_poured_layer *layer) {
  const size_t at = dw_request_layer_find(&advice->request, layer->layer->name);
  if (at == advice->request.n || !advice->request.layer[at].has_measured) return; /* none that counts */
  layer->asked = &advice->request.layer[at];
  layer->aim = dw_advice_aim_name(&advice->request, &advice->result->state[at]);
  layer->advice = dw_advice_first(advice->result, at);
  layer->state = &advice->result->state[at];
}

/* The pour is in the book by now: that no hint can be given is a remark, not a failure. */
static void advise_all(dw_book *book, cli_poured *poured) {
  dw_error why = {0};
  bool any = false;
  for (size_t i = 0; i < poured->n; i++)
    any |= poured->layer[i].has_measured && dw_pattern_layer_aimed(poured->layer[i].layer) &&
           !poured->layer[i].missing;
  if (!any) return;
  dw_batch_question *question = calloc(1, sizeof *question);
  dw_status status = question ? ask(book, poured, question, &why) : dw_fail_memory(&why, "the advice");
  if (status != DW_OK)
    dw_copy_text(poured->no_advice, sizeof poured->no_advice, why.text);
  for (size_t i = 0; poured->advice && i < poured->n; i++) take_advice(poured->advice, &poured->layer[i]);
  free(question);
}

/* The pour is in the book by now: what can't be shown of it is a remark, not a failure. */
static void look_kept(const cli_args *args, dw_book *book, cli_poured *poured) {
  dw_error why = {0};
  cli_book_kept(args, "The pour was kept", book);
  dw_status status = dw_book_begin_reading(book, &why);
  if (status == DW_OK) status = look_at_all(args, book, poured, &why);
  if (status == DW_OK)
    status = dw_batch_layers_read(book, &poured->pattern, poured->batch.id, poured->read, &why);
  if (status == DW_OK && cli_has(args, "--temperature"))
    status = dw_heat_spread_get(book, poured->batch.id, &args->settings, &poured->heat, &why);
  if (status == DW_OK) advise_all(book, poured);
  if (status != DW_OK) cli_no_remark(args, "how it came out", &why);
}

/* ---- the command --------------------------------------------------------------------------------------- */

/* Without a name: a new one for a fresh cup, unless the last stands ready with nothing in it, as on the
 * bench; else the last. */
static dw_status choose_unnamed(const cli_args *args, dw_book *book, int64_t pattern, dw_batch *out,
                                dw_error *err) {
  dw_batch *list = NULL;
  size_t n = 0;
  bool fresh = cli_has(args, "--cup") || cli_has(args, "--advised"), last = false;
  dw_status status = dw_batch_list(book, pattern, &list, &n, err);
  if (status == DW_OK && n > 0) {
    *out = list[n - 1];
    last = true;
    if (fresh) status = dw_batch_empty(book, out->id, &last, err);
  }
  free(list);
  if (status != DW_OK || last) return status;
  return cli_batch_take(args, book, pattern, NULL, out, err);
}

static dw_status choose_batch(const cli_args *args, dw_book *book, cli_poured *poured, dw_error *err) {
  const char *name = cli_value(args, "--batch");
  if (name || cli_has(args, "--new"))
    return cli_batch_take(args, book, poured->pattern.id, name, &poured->batch, err);
  return choose_unnamed(args, book, poured->pattern.id, &poured->batch, err);
}

static dw_status pour_into(const cli_args *args, dw_book *book, cli_poured *poured, dw_error *err) {
  const dw_pattern_layer *layer = NULL;
  int64_t batch = 0, cup = 0, pour = 0;
  bool advised = cli_has(args, "--advised");
  dw_status status = dw_pattern_find(book, args->word[0], &poured->pattern, err);
  if (status == DW_OK) status = find_layer(args, &poured->pattern, &layer, err);
  if (status == DW_OK) status = choose_batch(args, book, poured, err);
  batch = poured->batch.id;
  if (status == DW_OK) status = set_batch(args, book, batch, err);
  if (status == DW_OK && !advised && layer)
    status = cli_pour_cup(args, book, batch, layer->id, &cup, poured, err);
  if (status == DW_OK) status = dw_book_shelf(book, &poured->shelf, &poured->info, err);
  if (status == DW_OK) status = dw_book_shelf_hold(book, poured->shelf, err);
  if (status == DW_OK && advised) status = cli_pour_advised(args, book, poured, layer, err);
  if (status == DW_OK && cup)
    status = dw_keep_pour(book, cup, poured->shelf, &poured->slab, NULL, &pour, err);
  if (status == DW_OK && cli_has(args, "--measured"))
    status = log_numbers(args, book, batch, layer->id, pour, err);
  if (status == DW_OK) status = log_photos(args, book, poured, err);
  if (status == DW_OK)
    status = cli_drizzled_keep(args, book, &poured->pattern, batch, poured->shelf, &poured->slab,
                               poured->drizzled, err);
  if (status == DW_OK) status = cli_pour_good(args, book, poured, err);
  if (status == DW_OK) status = dw_batch_get(book, batch, &poured->batch, err);
  return status == DW_OK ? dw_book_learn(book, poured->shelf, &poured->learned, err) : status;
}

static bool wished(const cli_args *args) {
  static const char *const needed[] = {"--cup",      "--add",     "--clear",    "--temperature",
                                       "--measured", "--photo",   "--good",     "--note",
                                       "--blend",    "--advised", "--not-good", "--drizzle"};
  for (size_t i = 0; i < sizeof needed / sizeof *needed; i++)
    if (cli_has(args, needed[i])) return true;
  return false;
}

static dw_status check_wish(const cli_args *args, dw_error *err) {
  if (wished(args)) return DW_OK;
  return dw_fail(
      err, DW_USAGE,
      "pour needs something to log: --cup, --add, --measured, --photo ...; see dropwise pour --help.");
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  cli_poured *poured = calloc(1, sizeof *poured);
  dw_status status = poured ? cli_words(args, 1, 1, "a pattern", err) : dw_fail_memory(err, "the pour");
  if (status == DW_OK) status = check_wish(args, err);
  if (status == DW_OK) status = cli_slab_given(args, &poured->slab, err);
  if (status == DW_OK) status = cli_batch_ask(args, args->word[0], "--batch", err);
  if (status == DW_OK)
    status = cli_photos_of_pattern(args, args->word[0], cli_value(args, "--layer"), &poured->photos, err);
  if (status == DW_OK) status = cli_drizzled_read(args, args->word[0], &poured->drizzled, err);
  if (status == DW_OK) status = cli_find_plugins(args, &poured->plugins, err);
  if (status == DW_OK && cli_has(args, "--advised")) status = cli_pour_ask(args, poured, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = pour_into(args, book, poured, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  if (status == DW_OK) look_kept(args, book, poured);
  dw_book_close(book);
  if (status == DW_OK) status = cli_pour_say(args, poured, err);
  if (poured) {
    cli_photos_free(&poured->photos);
    cli_drizzled_free(poured->drizzled);
    dw_batch_advice_free(poured->advised);
    dw_batch_advice_free(poured->advice);
    dw_shelf_free(poured->shelf);
  }
  free(poured);
  return status;
}

const cli_command cli_pour = {
    .name = "pour",
    .summary = "log a cup as poured, and its measured color; bottles learn",
    .usage =
        "PATTERN [--batch NAME [--new]] [--layer NAME] [--cup DROPS | --add DROPS] [--measured LAB | --photo "
        "PHOTO... | --drizzle PHOTO]",
    .about =
        "Logs what is in the cup, what was added, how hot it was and how it came out, and says whether "
        "one more\n"
        "correction is worth its drops. A photo's marked layers, each one of the pattern's, are all logged; "
        "where nothing "
        "is marked,\n"
        "every bait found in it is one bait of the batch, its layers those of the pattern from back to "
        "belly.\n"
        "A batch's name that the pattern does not know is questioned, or needs --new: it may be a slip. Only "
        "the\n"
        "first batch of a pattern may be named without: there is none that could be meant. batch rename "
        "puts a\n"
        "wrong name right.",
    .example = "dropwise pour \"creek crawfish\" --batch 7 --new --layer back --cup orange=12,brown=4 "
               "--measured 33,8,12",
    .options = options,
    .run = run,
    .settings = true,
};
