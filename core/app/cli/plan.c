#include "app/cli/book.h"
#include "dropwise/batch_plan.h"
#include "dropwise/book_molds.h"
#include "dropwise/report_plan.h"

#include <stdlib.h>

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

static dw_status take_layers(const cli_args *args, dw_book *book, const dw_plugins *plugins, dw_plan_job *job,
                             dw_plan_source *source, dw_error *err) {
  dw_pattern pattern;
  double share[DW_PLAN_LAYERS_MAX];
  dw_status status = dw_pattern_find(book, args->word[0], &pattern, err);
  if (status == DW_OK) status = cli_shares(args, pattern.n, share, err);
  return status == DW_OK ? dw_plan_take_pattern(book, &pattern, cli_value(args, "--batch"), share, plugins,
                                                job, source, err)
                         : status;
}

/* ---- molds and what goes in besides -----------------------------------------------------------------------
 */

static dw_status take_mold(dw_book *book, const char *text, dw_plan_job *job, dw_error *err) {
  char name[DW_ID_ROOM];
  const char *fills;
  double number = 0;
  if (job->n_molds == DW_PLAN_MOLDS_MAX)
    return dw_fail(err, DW_USAGE, "A plan has at most %d molds.", DW_PLAN_MOLDS_MAX);
  if (!dw_split_named(text, name, &fills) ||
      (fills && !dw_parse_number_in(fills, 1, DW_PLAN_FILLS_MAX, &number)) || number != (int)number)
    return dw_fail(err, DW_USAGE,
                   "--mold takes a name and how often it is filled, as in craw=3, not \"%.60s\".", text);
  dw_plan_mold *mold = &job->mold[job->n_molds++];
  mold->fills = (int)number;
  return dw_book_mold_find(book, name, &mold->mold, err);
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
    status = dw_plan_additive_read("--additive", text, job, err);
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--powder", &at));)
    status = dw_plan_powder_read("--powder", text, job, err);
  if (status != DW_OK) return status;
  job->chamber_ml = chamber * DW_ML_PER_FLOZ;
  job->cup_ml = cup * DW_ML_PER_FLOZ;
  job->waste = waste / 100;
  job->baits = (int)baits;
  job->step_ml = dw_plan_step_ml(args->style.units);
  return DW_OK;
}

/* ---- the command ------------------------------------------------------------------------------------------
 */

static dw_status say(const cli_args *args, const dw_plan_job *job, const dw_plan *plan, dw_error *err) {
  dw_text text = {0};
  if (args->json) return cli_print_json(dw_json_plan(job, plan), err);
  dw_text_plan(job, plan, &args->style, &text);
  return cli_print_text(&text, err);
}

static dw_status work(const cli_args *args, const dw_plugins *plugins, dw_plan_job *job,
                      const dw_shelf *shelf, dw_error *err) {
  dw_book *book = NULL;
  dw_plan_source source;
  dw_plan plan;
  job->shelf = shelf;
  job->slab = dw_slab_usual();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = take_layers(args, book, plugins, job, &source, err);
  if (status == DW_OK) status = take_rest(args, book, job, err);
  status = cli_book_done(book, status, err);
  if (status == DW_OK) status = dw_plan_make(job, &plan, err);
  if (status != DW_OK) return status;
  dw_plan_note_source(job, &source, &plan);
  return say(args, job, &plan, err);
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = cli_words(args, 1, 1, "a pattern", err);
  if (status == DW_OK && !cli_has(args, "--mold"))
    status = dw_fail(err, DW_USAGE, "plan needs --mold NAME=FILLS, or --mold NAME with --baits.");
  if (status == DW_OK) status = cli_shelf(args, &shelf, err);
  dw_plan_job *job = calloc(1, sizeof *job);
  dw_plugins *plugins = calloc(1, sizeof *plugins);
  if (status == DW_OK && (!job || !plugins)) status = dw_fail_memory(err, "the plan");
  if (status == DW_OK) status = cli_find_plugins(args, plugins, err);
  if (status == DW_OK) status = work(args, plugins, job, shelf, err);
  free(plugins);
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
