#include "app/cli/cli.h"

static const cli_option options[] = {
    {"--recipe", "R", "drops per fl oz of each bottle, as in \"orange=6;brown=2\"; empty is clear base"},
    CLI_SLAB_OPTIONS,
    CLI_SHELF_OPTION,
    {NULL, NULL, NULL},
};

static pt_status print_prediction(const cli_args *args, const pt_shelf *shelf, const pt_recipe *recipe,
                                  const pt_slab *slab, pt_error *err) {
  pt_prediction prediction;
  const char *warning = pt_shelf_warning(shelf);
  pt_status status = pt_predict(shelf, recipe, slab, &prediction, err);
  if (status != PT_OK) return status;
  if (args->json && warning) pt_note(&prediction.notes, "%s", warning);
  if (args->json) return cli_print_json(pt_json_prediction(&prediction), err);
  char words[512];
  pt_recipe_format(recipe, shelf, words, sizeof words);
  pt_text text = {0};
  if (warning) pt_text_add(&text, "! %s\n", warning);
  pt_text_prediction(&prediction, words, slab, &args->style, &text);
  return cli_print_text(&text, err);
}

static pt_status run(const cli_args *args, pt_error *err) {
  const char *recipe_text = cli_value(args, "--recipe");
  pt_shelf *shelf = NULL;
  pt_recipe recipe;
  pt_slab slab;
  pt_status status = cli_words(args, 0, 0, "", err);
  if (status == PT_OK && !recipe_text) status = pt_fail(err, PT_USAGE, "predict needs --recipe.");
  if (status == PT_OK) status = cli_slab(args, &slab, err);
  if (status == PT_OK) status = cli_shelf(args, &shelf, err);
  if (status == PT_OK) status = cli_recipe(args, recipe_text, shelf, &recipe, err);
  if (status == PT_OK) status = print_prediction(args, shelf, &recipe, &slab, err);
  pt_shelf_free(shelf);
  return status;
}

const cli_command cli_predict = {
    .name = "predict",
    .summary = "the color a cup will have",
    .usage = "--recipe R [--thickness MM] [--over BACKING]",
    .about = "",
    .example = "pourtone predict --recipe \"orange=6;brown=2\" --thickness 10 --over white",
    .options = options,
    .run = run,
};
