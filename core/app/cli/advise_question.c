/* What advise is asked: rules, layers and cups as the options, a file or the book have them. */
#include "app/cli/advise.h"
#include "app/cli/pattern_file.h"

#include <stdlib.h>
#include <string.h>

/* ---- rules --------------------------------------------------------------------------------------------- */

static dw_status set_use(const cli_args *args, const dw_shelf *shelf, dw_rules *rules, dw_error *err) {
  bool only = cli_has(args, "--use");
  for (size_t i = 0; i < shelf->n && only; i++) rules->use[i] = DW_USE_NEVER;
  static const struct {
    const char *option;
    dw_use use;
  } lists[] = {{"--use", DW_USE_FREE}, {"--not", DW_USE_NEVER}};
  for (size_t l = 0; l < 2; l++) {
    const char *id;
    for (size_t at = 0; (id = cli_next(args, lists[l].option, &at));) {
      size_t bottle;
      dw_status status = cli_bottle_index(args, id, shelf, &bottle, err);
      if (status != DW_OK) return status;
      rules->use[bottle] = lists[l].use;
    }
  }
  return DW_OK;
}

dw_status cli_advise_rules(const cli_args *args, const dw_shelf *shelf, dw_rules *rules, dw_error *err) {
  dw_settings own = args->settings;
  const char *step = cli_value(args, "--step");
  if (step && dw_setting_parse("step", step, &own, err) != DW_OK) return DW_USAGE;
  if (step) rules->step_drops = own.step_drops;
  dw_status status = cli_number(args, "--max-drops", 1, 2000, rules->max_drops, &rules->max_drops, err);
  if (status == DW_OK)
    status =
        cli_whole(args, "--max-bottles", 1, DW_CUP_BOTTLES_MAX, rules->max_bottles, &rules->max_bottles, err);
  return status == DW_OK ? set_use(args, shelf, rules, err) : status;
}

/* ---- layers and cups ----------------------------------------------------------------------------------- */

/* "belly:white=3" goes to that layer, "white=3" to the only one. */
static dw_status set_cup(const cli_args *args, dw_advice_request *request, const char *text, dw_error *err) {
  const char *colon = strchr(text, ':');
  if (!colon) {
    if (request->n != 1)
      return dw_fail(err, DW_USAGE, "With a pattern, say which layer's cup is meant: --cup \"%s:%.80s\".",
                     request->layer[0].name, text);
    return cli_recipe(args, text, request->shelf, &request->layer[0].cup.drops, err);
  }
  for (size_t i = 0; i < request->n; i++) {
    dw_layer *layer = &request->layer[i];
    if (strlen(layer->name) == (size_t)(colon - text) &&
        strncmp(layer->name, text, (size_t)(colon - text)) == 0)
      return cli_recipe(args, colon + 1, request->shelf, &layer->cup.drops, err);
  }
  return dw_fail(err, DW_USAGE, "--cup \"%.80s\" names a layer that the pattern does not have.", text);
}

/* What is not said is 0. */
static dw_status read_volumes(const cli_args *args, dw_cup *cup, dw_error *err) {
  *cup = (dw_cup){0};
  dw_status status = cli_volume(args, "--volume", 0.01, 1000, 0, &cup->volume_floz, err);
  return status == DW_OK ? cli_volume(args, "--capacity", 0.01, 2000, 0, &cup->capacity_floz, err) : status;
}

/* The single layer that --target and --measured describe. */
static dw_status set_single_layer(const cli_args *args, dw_layer *layer, dw_error *err) {
  const char *target = cli_value(args, "--target"), *measured = cli_value(args, "--measured");
  layer->no_target = !target && cli_has(args, "--dull");
  if (!target && !layer->no_target)
    return dw_fail(
        err, DW_USAGE,
        "advise needs --target LAB, --pattern NAME, or --dull PERCENT with a --cup; see dropwise advise "
        "--help.");
  dw_copy_text(layer->name, sizeof layer->name, "cup");
  dw_status status = target ? cli_lab(target, "--target", &layer->target, err) : DW_OK;
  if (status == DW_OK && measured) status = cli_lab(measured, "--measured", &layer->measured, err);
  layer->has_measured = measured != NULL;
  if (status == DW_OK)
    status = cli_number(args, "--uncertainty", 0, 100, DW_MEASURED_DOUBT_DE00,
                        &layer->measured_uncertainty_de00, err);
  return status;
}

static dw_status no_such_layer(const dw_advice_request *request, const char *name, dw_error *err) {
  char names[DW_LAYERS_MAX * (DW_ID_ROOM + 2)] = "";
  for (size_t i = 0; i < request->n; i++) {
    size_t used = strlen(names);
    snprintf(names + used, sizeof names - used, "%s%s", i ? ", " : "", request->layer[i].name);
  }
  return dw_fail(err, DW_USAGE, "The pattern has no layer \"%.60s\"; its layers are %.300s.", name, names);
}

/* --layer NAME (one with = in it is a mark) leaves only the layers named, in the pattern's order. */
static dw_status pick_layers(const cli_args *args, dw_advice_request *request, dw_error *err) {
  const char *name;
  bool picked[DW_LAYERS_MAX] = {false}, any = false;
  for (size_t at = 0; (name = cli_next(args, "--layer", &at));) {
    if (strchr(name, '=')) continue;
    if (!cli_has(args, "--pattern") && !cli_has(args, "--targets"))
      return dw_fail(err, DW_USAGE, "--layer %.60s picks a layer of a pattern; give --pattern NAME, too.",
                     name);
    const size_t i = dw_request_layer_find(request, name);
    if (i == request->n) return no_such_layer(request, name, err);
    picked[i] = any = true;
  }
  size_t kept = 0;
  for (size_t i = 0; i < request->n && any; i++)
    if (picked[i]) request->layer[kept++] = request->layer[i];
  if (any) request->n = kept;
  return DW_OK;
}

static dw_status load_layers(const cli_args *args, cli_advise_work *work, dw_error *err) {
  dw_advice_request *request = &work->question.request;
  dw_cup fresh;
  dw_slab said;
  dw_status status = read_volumes(args, &fresh, err);
  if (status == DW_OK) status = cli_slab_given(args, &said, err);
  if (status != DW_OK) return status;
  request->shelf = work->shelf;
  if (cli_has(args, "--pattern") && !cli_has(args, "--targets"))
    return cli_book_question(args, work->shelf, &fresh, &said, &work->book, &work->pattern, &work->question,
                             err);
  request->rules = dw_rules_default();
  dw_settings_rules(&args->settings, work->shelf, &request->rules);
  work->question.usual_floz = args->settings.volume_floz;
  request->kept = args->settings.numbers;
  request->n = 1;
  request->layer[0].target_see_through = -1;
  request->layer[0].cup = fresh;
  status = cli_slab(args, &request->slab, err);
  if (status != DW_OK) return status;
  return cli_has(args, "--targets")
             ? cli_targets_load(cli_value(args, "--targets"), cli_value(args, "--pattern"), request, err)
             : set_single_layer(args, &request->layer[0], err);
}

dw_status cli_advise_layers(const cli_args *args, cli_advise_work *work, dw_error *err) {
  dw_advice_request *request = &work->question.request;
  const char *cup;
  double see_through, dull;
  dw_status status = load_layers(args, work, err);
  if (status == DW_OK) status = pick_layers(args, request, err);
  for (size_t at = 0; status == DW_OK && (cup = cli_next(args, "--cup", &at));)
    status = set_cup(args, request, cup, err);
  if (status == DW_OK) status = cli_number(args, "--see-through", 0, 1, -1, &see_through, err);
  if (status == DW_OK) status = cli_number(args, "--dull", 0, 95, 0, &dull, err);
  if (status != DW_OK) return status;
  request->chroma_share = dull / 100;
  for (size_t i = 0; i < request->n && see_through >= 0; i++)
    request->layer[i].target_see_through = see_through;
  return DW_OK;
}
