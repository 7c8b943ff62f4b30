#include "app/cli/cli.h"

static const cli_option options[] = {
    {"--recipe", "RECIPE", "drops per fl oz of each bottle, as in orange=6,brown=2; empty is clear base"},
    {"--force", NULL, "take a recipe of more drops per fl oz than any cup is advised to hold"},
    CLI_SLAB_OPTIONS,
    CLI_SHELF_OPTION,
    {NULL, NULL, NULL},
};

static dw_status print_prediction(const cli_args *args, const dw_shelf *shelf, const dw_recipe *recipe,
                                  const dw_slab *slab, dw_error *err) {
  dw_prediction prediction;
  const char *warning = dw_shelf_warning(shelf);
  dw_status status = dw_predict(shelf, recipe, slab, &prediction, err);
  if (status != DW_OK) return status;
  if (args->json && warning) dw_note(&prediction.notes, "%s", warning);
  if (args->json) return cli_print_json(dw_json_prediction(&prediction), err);
  char words[512];
  dw_recipe_format(recipe, shelf, words, sizeof words);
  dw_text text = {0};
  if (warning) dw_text_add(&text, "! %s\n", warning);
  dw_text_prediction(&prediction, words, slab, &args->style, &text);
  return cli_print_text(&text, err);
}

static dw_status run(const cli_args *args, dw_error *err) {
  const char *recipe_text = cli_value(args, "--recipe");
  dw_shelf *shelf = NULL;
  dw_recipe recipe;
  dw_slab slab;
  dw_status status = cli_words(args, 0, 0, "", err);
  if (status == DW_OK && !recipe_text) status = dw_fail(err, DW_USAGE, "predict needs --recipe.");
  if (status == DW_OK) status = cli_slab(args, &slab, err);
  if (status == DW_OK) status = cli_shelf(args, &shelf, err);
  if (status == DW_OK) status = cli_recipe(args, recipe_text, shelf, &recipe, err);
  if (status == DW_OK && !cli_has(args, "--force")) status = dw_loadings_question(&recipe, err);
  if (status == DW_OK) status = print_prediction(args, shelf, &recipe, &slab, err);
  dw_shelf_free(shelf);
  return status;
}

const cli_command cli_predict = {
    .name = "predict",
    .summary = "the color a cup will have",
    .usage = "--recipe RECIPE [--thickness MM] [--over BACKING]",
    .about = "",
    .example = "dropwise predict --recipe orange=6,brown=2 --thickness 10 --over white",
    .options = options,
    .run = run,
    .settings = true,
};
