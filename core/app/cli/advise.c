#include "app/cli/book.h"
#include "app/cli/pattern_file.h"
#include "dropwise/batch_drift.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--target", "LAB", "the color aimed for"},
    {"--measured", "LAB", "the color the bait has now"},
    {"--cup", "DROPS",
     "what is in the cup, as in orange=12,brown=4; for one layer of a pattern belly:white=3"},
    {"--volume", "VOLUME",
     "clear base in the cup, as in 4floz or 120ml (plain: fl oz, with --metric ml); default 4 fl oz"},
    {"--capacity", "VOLUME", "what the cup holds, base and drops together; default 5/4 of the volume"},
    CLI_SLAB_OPTIONS,
    {"--pattern", "NAME", "advise all layers of a pattern of the book at once"},
    {"--layer", "NAME", "only this layer of the pattern; may be repeated"},
    {"--batch", "NAME", "the cups of this batch of the book, and what was measured of them"},
    {"--targets", "FILE", "take the pattern from this file instead"},
    {"--photo", "PHOTO", "read the layers from a photo (with the marks below)"},
    CLI_MARK_OPTIONS,
    {"--dull", "PERCENT",
     "make what is in the cup duller by so much of its chroma, its hue held; needs no target"},
    {"--see-through", "RATIO",
     "how much light comes through: 0 clear, 0.4 see-through, 0.65 cloudy, 1 solid"},
    {"--use", "BOTTLE", "use only this bottle; may be repeated"},
    {"--not", "BOTTLE", "never add this bottle; may be repeated"},
    {"--max-drops", "N", "most drops in a cup, those in it counted; default 15 per fl oz"},
    {"--max-bottles", "N", "most different bottles in a cup; default 4"},
    {"--step", "STEP", "drops (default), half (half drops) or syringe (0.1 ml)"},
    {"--plugin", "ID", "ask only this plugin; may be repeated"},
    CLI_SHELF_OPTION,
    {"--html", "FILE", "write a report as one HTML file"},
    {NULL, NULL, NULL},
};

/* All that one run holds; large, so on the heap. */
typedef struct advise_work {
  dw_advice_request request;
  dw_plugins plugins;
  dw_marks marks;
  dw_photo_reading reading;
  bool has_photo;
  dw_preview preview;
  dw_arena *arena;
  dw_shelf *shelf;
  dw_advice_result *result;
  size_t n_next; /* layers of a pattern of the book whose cups are still to be filled */
  dw_next_cup next[DW_LAYERS_MAX];
  const char *only[DW_PLUGINS_MAX];
} advise_work;

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

static dw_status set_rules(const cli_args *args, const dw_shelf *shelf, dw_rules *rules, dw_error *err) {
  *rules = dw_rules_default();
  double bottles;
  const char *step = cli_value(args, "--step");
  if (step && strcmp(step, "half") == 0)
    rules->step_drops = 0.5;
  else if (step && strcmp(step, "syringe") == 0)
    rules->step_drops = 0;
  else if (step && strcmp(step, "drops") != 0)
    return dw_fail(err, DW_USAGE, "--step takes drops, half or syringe, not \"%.40s\".", step);
  dw_status status = cli_number(args, "--max-drops", 1, 2000, rules->max_drops, &rules->max_drops, err);
  if (status == DW_OK)
    status =
        cli_number(args, "--max-bottles", 1, DW_CUP_BOTTLES_MAX, (double)rules->max_bottles, &bottles, err);
  if (status == DW_OK) {
    rules->max_bottles = (size_t)bottles;
    status = set_use(args, shelf, rules, err);
  }
  return status;
}

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

static dw_status set_volumes(const cli_args *args, dw_cup *cup, dw_error *err) {
  dw_status status = cli_volume(args, "--volume", 0.01, 1000, 4, &cup->volume_floz, err);
  if (status == DW_OK)
    status = cli_volume(args, "--capacity", 0.01, 2000, 1.25 * cup->volume_floz, &cup->capacity_floz, err);
  return status;
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
  return status;
}

/* The layer of that name, or request->n. */
static size_t layer_named(const dw_advice_request *request, const char *name) {
  size_t i = 0;
  while (i < request->n && strcmp(request->layer[i].name, name) != 0) i++;
  return i;
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
    const size_t i = layer_named(request, name);
    if (i == request->n) return no_such_layer(request, name, err);
    picked[i] = any = true;
  }
  size_t kept = 0;
  for (size_t i = 0; i < request->n && any; i++)
    if (picked[i]) request->layer[kept++] = request->layer[i];
  if (any) request->n = kept;
  return DW_OK;
}

static dw_status set_layers(const cli_args *args, dw_advice_request *request, dw_error *err) {
  const char *targets = cli_value(args, "--targets"), *pattern = cli_value(args, "--pattern"), *cup;
  double see_through, dull;
  request->n = 1;
  request->layer[0].target_see_through = -1;
  dw_status status = set_volumes(args, &request->layer[0].cup, err);
  if (status != DW_OK) return status;
  if (targets)
    status = cli_targets_load(targets, pattern, request, err);
  else if (pattern)
    status = cli_book_layers(args, request, err);
  else
    status = set_single_layer(args, &request->layer[0], err);
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

static dw_status set_plugins(const cli_args *args, advise_work *work, dw_error *err) {
  size_t at = 0;
  const char *id;
  while ((id = cli_next(args, "--plugin", &at)) && work->request.n_only < DW_PLUGINS_MAX)
    work->only[work->request.n_only++] = id;
  work->request.only = work->request.n_only ? work->only : NULL;
  work->request.limit_s = 5;
  return cli_find_plugins(args, &work->plugins, err);
}

static dw_status read_photo(const cli_args *args, advise_work *work, dw_error *err) {
  const char *mark;
  dw_status status = cli_marks_from(args, cli_value(args, "--marks"), &work->marks, err);
  for (size_t at = 0; status == DW_OK && (mark = cli_next(args, "--layer", &at));)
    if (strchr(mark, '=')) status = dw_marks_add_layer(&work->marks, mark, err);
  if (status != DW_OK) return status;
  work->has_photo = true;
  return dw_flow_read(cli_value(args, "--photo"), &work->marks, NULL, cli_has(args, "--html") ? 1400 : 0,
                      work->arena, &work->reading, &work->preview, err);
}

static dw_status write_html(const cli_args *args, const advise_work *work, dw_error *err) {
  dw_html_report report = {.title = "Advice for the cups",
                           .reading = work->has_photo ? &work->reading : NULL,
                           .preview = work->has_photo ? &work->preview : NULL,
                           .request = &work->request,
                           .advice = work->result,
                           .units = args->style.units};
  const char *pattern = cli_value(args, "--pattern");
  char title[160];
  if (pattern) {
    snprintf(title, sizeof title, "Advice for %.120s", pattern);
    report.title = title;
  }
  dw_text html = {0};
  dw_status status = dw_html_write(&report, &html, err);
  if (status == DW_OK) status = dw_file_write(cli_value(args, "--html"), html.data, html.length, err);
  dw_text_free(&html);
  return status;
}

/* What worked before stands before what plugins make of it. */
static void print_next(const cli_args *args, const advise_work *work, dw_text *out) {
  bool any = false;
  for (size_t i = 0; i < work->n_next; i++) {
    if (!work->next[i].has_good) continue;
    dw_text_add(out, "%s\n", work->request.layer[i].name);
    dw_text_next_cup(&work->next[i], &args->style, out);
    any = true;
  }
  if (any) dw_text_add(out, "\nWhat the bottles alone would say:\n\n");
}

static json_t *next_json(const advise_work *work) {
  json_t *json = json_object();
  for (size_t i = 0; i < work->n_next; i++)
    if (work->next[i].has_good)
      json_object_set_new(json, work->request.layer[i].name, dw_json_next_cup(&work->next[i]));
  return json;
}

static dw_status print_advice(const cli_args *args, const advise_work *work, dw_error *err) {
  if (args->answer_is) return DW_OK;
  if (args->json) {
    json_t *root = dw_json_advice(&work->request, work->result);
    if (work->has_photo) root = dw_json_with(root, "reading", dw_json_reading(&work->reading));
    if (root && work->n_next) root = dw_json_with(root, "next_cups", next_json(work));
    return cli_print_json(root, err);
  }
  dw_text text = {0};
  if (work->has_photo) {
    dw_text_reading(&work->reading, &args->style, &text);
    dw_text_add(&text, "\n");
  }
  print_next(args, work, &text);
  dw_text_advice(&work->request, work->result, &args->style, &text);
  dw_text_cautions(&text);
  return cli_print_text(&text, err);
}

static dw_status advise(const cli_args *args, advise_work *work, dw_error *err) {
  dw_advice_request *request = &work->request;
  dw_status status = cli_words(args, 0, 0, "", err);
  if (status == DW_OK) status = cli_shelf(args, &work->shelf, err);
  request->shelf = work->shelf;
  if (status == DW_OK) status = set_rules(args, work->shelf, &request->rules, err);
  if (status == DW_OK) status = cli_slab(args, &request->slab, err);
  if (status == DW_OK) status = set_layers(args, request, err);
  if (status == DW_OK && cli_has(args, "--pattern") && !cli_has(args, "--targets") &&
      !cli_has(args, "--batch"))
    status = cli_book_next(args, work->shelf, work->next, &work->n_next, err);
  if (status == DW_OK) status = set_plugins(args, work, err);
  if (status == DW_OK && cli_has(args, "--photo")) status = read_photo(args, work, err);
  if (status != DW_OK) return status;
  if (work->has_photo)
    status = dw_flow_advise(&work->reading, request, &work->plugins, &work->result, err);
  else
    status = dw_advise(request, &work->plugins, &work->result, err);
  if (status == DW_OK && cli_has(args, "--html")) status = write_html(args, work, err);
  return status == DW_OK ? print_advice(args, work, err) : status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  advise_work *work = calloc(1, sizeof *work);
  if (!work) return dw_fail_memory(err, "the advice");
  work->arena = dw_arena_new(0);
  dw_status status = work->arena ? advise(args, work, err) : dw_fail_memory(err, "the advice");
  dw_advice_result_free(work->result);
  dw_shelf_free(work->shelf);
  dw_arena_free(work->arena);
  free(work);
  return status;
}

const cli_command cli_advise = {
    .name = "advise",
    .summary = "what to add to a cup, or to all cups of a pattern",
    .usage = "--target LAB [--measured LAB] [--cup DROPS] | --cup DROPS --dull PERCENT | --pattern NAME "
             "[--photo PHOTO "
             "--marks FILE]",
    .about =
        "Only additions are proposed: nothing can be taken out of a cup. Without --cup a recipe for a "
        "fresh cup is\n"
        "given. The best proposal of all plugins stands first: the nearest or, of those that nobody can tell "
        "apart,\n"
        "the one with the fewest bottles and drops.",
    .example = "dropwise advise --target 45,22,30 --measured 52,30,44 --cup orange=12,brown=2 --volume 4",
    .options = options,
    .run = run,
};
