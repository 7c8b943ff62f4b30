#include "app/cli/book.h"
#include "dropwise/book_molds.h"
#include "dropwise/report_plan.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--mold", "NAME[=FILLS]",
     "a mold of the book and how often it is filled; repeat for several, in their order"},
    {"--baits", "N", "how many are wanted; then a mold needs no fills"},
    {"--shares", "N,N,...", "of the bait's volume, in percent, one for each layer; default alike"},
    {"--batch", "NAME", "whose recipes are poured; default the last good batch, else the newest"},
    {"--chamber-volume", "VOLUME", "what each chamber of the injector holds"},
    {"--cup-volume", "VOLUME", "what a cup holds"},
    {"--waste", "PERCENT", "on top of what the molds take; default 10"},
    {"--additive", "NAME=PERCENT",
     "softener, hardener, heat stabilizer or scent: percent of the plastic; may be repeated"},
    {"--powder", "LAYER:NAME=AMOUNT",
     "powder or flake in a layer, per fl oz: 0.2g or 0.1tsp; may be repeated"},
    CLI_SHELF_OPTION,
    {NULL, NULL, NULL},
};

#define STEP_US_ML (0.25 * DW_ML_PER_FLOZ) /* the marks of a measuring cup */
#define STEP_METRIC_ML 5.0

/* ---- recipes ----------------------------------------------------------------------------------------------
 */

/* The batch named, or the last good one, else the newest; *found false when there is none. */
static dw_status find_batch(const cli_args *args, dw_book *book, int64_t pattern, dw_batch *out, bool *found,
                            dw_error *err) {
  const char *name = cli_value(args, "--batch");
  dw_batch *list = NULL;
  size_t n = 0;
  *found = name != NULL;
  if (name) return dw_batch_find(book, pattern, name, out, err);
  dw_status status = dw_batch_list(book, pattern, &list, &n, err);
  for (size_t i = 0; i < n; i++)
    if (!*found || list[i].good || !out->good) *out = list[i], *found = true;
  free(list);
  return status;
}

static dw_status take_recipe(dw_book *book, int64_t batch, int64_t layer, const dw_shelf *shelf,
                             dw_plan_layer *out, dw_error *err) {
  dw_book_cup kept;
  dw_cup cup;
  size_t missing = 0;
  dw_error none = {0};
  dw_status status = dw_book_cup_find(book, batch, layer, &kept, &none);
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(book, kept.id, shelf, &cup, &missing, &none);
  if (status != DW_OK) return dw_fail(err, status, "%s", none.text);
  if (missing)
    return dw_fail(err, DW_TOO_FEW, "The cup of the %s holds a bottle that is not on the shelf any more.",
                   out->name);
  dw_cup_loadings(&cup, &out->loadings);
  out->has_recipe = cup.volume_floz > 0;
  return DW_OK;
}

static dw_status take_layers(const cli_args *args, dw_book *book, dw_plan_job *job, dw_batch *batch,
                             bool *has_batch, dw_error *err) {
  dw_pattern pattern;
  double share[DW_PLAN_LAYERS_MAX];
  dw_status status = dw_pattern_find(book, args->word[0], &pattern, err);
  if (status == DW_OK) status = cli_shares(args, pattern.n, share, err);
  if (status == DW_OK) status = find_batch(args, book, pattern.id, batch, has_batch, err);
  for (size_t i = 0; status == DW_OK && i < pattern.n; i++) {
    dw_plan_layer *layer = &job->layer[job->n_layers++];
    memcpy(layer->name, pattern.layer[i].name, sizeof layer->name);
    layer->share = share[i];
    if (*has_batch) status = take_recipe(book, batch->id, pattern.layer[i].id, job->shelf, layer, err);
  }
  return status;
}

/* ---- molds and what goes in besides -----------------------------------------------------------------------
 */

/* "NAME=VALUE" apart; false without a name, or with one that is too long. */
static bool split(const char *text, char name[DW_ID_ROOM], const char **value) {
  const char *equals = strchr(text, '=');
  const size_t n = equals ? (size_t)(equals - text) : strlen(text);
  if (n == 0 || n >= DW_ID_ROOM) return false;
  memcpy(name, text, n);
  name[n] = '\0';
  *value = equals ? equals + 1 : NULL;
  return true;
}

static dw_status take_mold(dw_book *book, const char *text, dw_plan_job *job, dw_error *err) {
  char name[DW_ID_ROOM];
  const char *fills;
  double number = 0;
  if (job->n_molds == DW_PLAN_MOLDS_MAX)
    return dw_fail(err, DW_USAGE, "A plan has at most %d molds.", DW_PLAN_MOLDS_MAX);
  if (!split(text, name, &fills) || (fills && !dw_parse_number_in(fills, 1, DW_PLAN_FILLS_MAX, &number)) ||
      number != (int)number)
    return dw_fail(err, DW_USAGE,
                   "--mold takes a name and how often it is filled, as in craw=3, not \"%.60s\".", text);
  dw_plan_mold *mold = &job->mold[job->n_molds++];
  mold->fills = (int)number;
  return dw_book_mold_find(book, name, &mold->mold, err);
}

static dw_status take_additive(const char *text, dw_plan_job *job, dw_error *err) {
  const char *percent;
  dw_additive *additive = &job->additive[job->n_additives];
  if (job->n_additives == DW_PLAN_EXTRAS_MAX)
    return dw_fail(err, DW_USAGE, "A plan holds at most %d additives.", DW_PLAN_EXTRAS_MAX);
  if (!split(text, additive->name, &percent) || !percent ||
      !dw_parse_number_in(percent, 0, 100, &additive->share))
    return dw_fail(err, DW_USAGE,
                   "--additive takes a name and a percentage, as in softener=5, not \"%.60s\".", text);
  additive->share /= 100;
  job->n_additives++;
  return DW_OK;
}

static dw_status wrong_powder(const char *text, dw_error *err) {
  return dw_fail(
      err, DW_USAGE,
      "--powder takes a layer, a name and an amount per fl oz, as in belly:flake=0.2g or belly:pearl=0.1tsp, "
      "not \"%.60s\".",
      text);
}

static dw_status take_powder(const char *text, dw_plan_job *job, dw_error *err) {
  const char *colon = strchr(text, ':'), *amount, *unit;
  double number;
  size_t i = 0;
  dw_powder powder = {0};
  if (!colon || !split(colon + 1, powder.name, &amount) || !amount ||
      !dw_parse_number(amount, &unit, &number) || !(number > 0) ||
      (strcmp(unit, "g") != 0 && strcmp(unit, "tsp") != 0))
    return wrong_powder(text, err);
  *(*unit == 'g' ? &powder.grams_floz : &powder.teaspoons_floz) = number;
  while (i < job->n_layers && (strlen(job->layer[i].name) != (size_t)(colon - text) ||
                               strncmp(job->layer[i].name, text, (size_t)(colon - text)) != 0))
    i++;
  if (i == job->n_layers || job->layer[i].n_powders == DW_PLAN_EXTRAS_MAX)
    return dw_fail(err, DW_USAGE, "--powder \"%.60s\" names no layer of the pattern, or one powder too many.",
                   text);
  job->layer[i].powder[job->layer[i].n_powders++] = powder;
  return DW_OK;
}

static dw_status take_rest(const cli_args *args, dw_book *book, dw_plan_job *job, dw_error *err) {
  const char *text;
  double chamber, cup, waste;
  size_t baits;
  dw_status status = cli_volume(args, "--chamber-volume", 0.01, 1000, 0, &chamber, err);
  if (status == DW_OK) status = cli_volume(args, "--cup-volume", 0.01, 1000, 0, &cup, err);
  if (status == DW_OK) status = cli_number(args, "--waste", 0, 100, 100 * DW_PLAN_WASTE_DEFAULT, &waste, err);
  if (status == DW_OK) status = cli_whole(args, "--baits", 1, DW_PLAN_FILLS_MAX, 0, &baits, err);
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--mold", &at));)
    status = take_mold(book, text, job, err);
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--additive", &at));)
    status = take_additive(text, job, err);
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--powder", &at));)
    status = take_powder(text, job, err);
  if (status != DW_OK) return status;
  job->chamber_ml = chamber * DW_ML_PER_FLOZ;
  job->cup_ml = cup * DW_ML_PER_FLOZ;
  job->waste = waste / 100;
  job->baits = (int)baits;
  job->step_ml = args->style.units == DW_UNITS_METRIC ? STEP_METRIC_ML : STEP_US_ML;
  return DW_OK;
}

/* ---- the command ------------------------------------------------------------------------------------------
 */

static void note_recipes(const dw_plan_job *job, const dw_batch *batch, bool has_batch, dw_plan *plan) {
  const char *warning = dw_shelf_warning(job->shelf);
  bool any = false;
  for (size_t i = 0; i < job->n_layers; i++) any |= job->layer[i].has_recipe;
  if (any) dw_note(&plan->notes, "Recipes are those of batch %s.", batch->name);
  if (!any)
    dw_note(&plan->notes, "%s, so no drops are planned.",
            has_batch ? "The batch has no cups" : "Nothing of this pattern was poured yet");
  if (any && warning) dw_note(&plan->notes, "%s", warning);
}

static dw_status say(const cli_args *args, const dw_plan_job *job, const dw_plan *plan, dw_error *err) {
  dw_text text = {0};
  if (args->json) return cli_print_json(dw_json_plan(job, plan), err);
  dw_text_plan(job, plan, &args->style, &text);
  return cli_print_text(&text, err);
}

static dw_status work(const cli_args *args, dw_plan_job *job, const dw_shelf *shelf, dw_error *err) {
  dw_book *book = NULL;
  dw_batch batch;
  bool has_batch = false;
  dw_plan plan;
  job->shelf = shelf;
  job->slab = (dw_slab){10, DW_BACKING_GRAY};
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = take_layers(args, book, job, &batch, &has_batch, err);
  if (status == DW_OK) status = take_rest(args, book, job, err);
  status = cli_book_done(book, status, err);
  if (status == DW_OK) status = dw_plan_make(job, &plan, err);
  if (status != DW_OK) return status;
  note_recipes(job, &batch, has_batch, &plan);
  return say(args, job, &plan, err);
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = cli_words(args, 1, 1, "a pattern", err);
  if (status == DW_OK && !cli_has(args, "--mold"))
    status = dw_fail(err, DW_USAGE, "plan needs --mold NAME=FILLS, or --mold NAME with --baits.");
  if (status == DW_OK) status = cli_shelf(args, &shelf, err);
  dw_plan_job *job = status == DW_OK ? calloc(1, sizeof *job) : NULL;
  if (status == DW_OK) status = job ? work(args, job, shelf, err) : dw_fail_memory(err, "the plan");
  free(job);
  dw_shelf_free(shelf);
  return status;
}

const cli_command cli_plan = {
    .name = "plan",
    .summary = "volumes and drops per cup, loads, chambers in order, a shopping list",
    .usage = "PATTERN --mold NAME=FILLS... [--baits N] [--shares N,N,...] [--chamber-volume V]",
    .about =
        "What a pour takes, worked out before anything is heated: a plan that can't be filled says so first.",
    .example =
        "dropwise plan \"creek crawfish\" --mold craw --baits 20 --shares 40,20,40 --chamber-volume 2floz",
    .options = options,
    .run = run,
    .settings = true,
};
