#include "app/cli/args_recipe.h"
#include "app/cli/blend_picture.h"
#include "app/cli/book.h"
#include "dropwise/batch_blend.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--cup", "[NAME:]DROPS",
     "what is in a cup, as in orange=12,brown=4 or with a name back:orange=12,brown=4; repeat for every "
     "layer, "
     "the back first"},
    {"--color", "LAB",
     "a layer known by its color alone, as in 52,18,40 or \"belly:52,18,40\"; stands among the cups"},
    {"--measured", "LAB", "the color measured of the cup before it"},
    {"--volume", "VOLUME",
     "clear base in each cup, as in 4floz or 120ml; default the book's setting, else 4 fl oz"},
    {"--capacity", "VOLUME", "what each cup holds; default 5/4 of the volume"},
    CLI_SLAB_OPTIONS,
    {"--pattern", "NAME",
     "the layers of a pattern of the book: their targets or natural tones, or with --batch its cups"},
    {"--batch", "NAME", "the cups of this batch, and what was measured of them"},
    {"--advised", NULL, "beside the batch's cups as they are: as they will be with what is advised"},
    {"--svg", "FILE", "write a picture of the bait over a light and a dark bottom"},
    {"--png", "FILE", "the same as PNG"},
    {"--outline", "SHAPE", "of the picture: crawfish, swimbait, jerkbait, stick or frog; default swimbait"},
    {"--outline-from", "PHOTO", "the outline of a bait that is found in a photo, and its layers' shares"},
    {"--bait", "N", "with --outline-from: which of the baits found, by its number there; default the first"},
    {"--shares", "N,N,...", "of the body's height, in percent, one for each layer; default alike"},
    CLI_SHELF_OPTION,
    {NULL, NULL, NULL},
};

typedef struct blend_job {
  dw_blends now, then; /* as it is; with --advised as it will be */
  bool changes;        /* something is advised */
} blend_job;

/* The --measured that stands behind option i and before the next layer, or NULL. */
static const char *measured_after(const cli_args *args, size_t i) {
  while (++i < args->n_options) {
    if (strcmp(args->option[i].name, "--measured") == 0) return args->option[i].value;
    if (strcmp(args->option[i].name, "--cup") == 0 || strcmp(args->option[i].name, "--color") == 0) break;
  }
  return NULL;
}

static dw_status set_volume(const cli_args *args, dw_cup *out, dw_error *err) {
  dw_status status =
      cli_volume(args, "--volume", 0.01, 1000, args->settings.volume_floz, &out->volume_floz, err);
  if (status == DW_OK)
    status = cli_volume(args, "--capacity", 0.01, 2000, DW_USUAL_CAPACITY * out->volume_floz,
                        &out->capacity_floz, err);
  return status;
}

static dw_status set_cup(const cli_args *args, size_t option, const dw_shelf *shelf, dw_blends *out,
                         dw_error *err) {
  dw_blend_layer *layer = &out->layer[out->n];
  const char *drops = args->option[option].value, *measured = measured_after(args, option);
  dw_cup contents = {0};
  dw_lab color;
  cli_layer_name(&drops, "layer", out->n, layer->name);
  dw_status status = set_volume(args, &contents, err);
  if (status == DW_OK) status = cli_recipe(args, drops, shelf, &contents.drops, err);
  if (status == DW_OK && measured) status = cli_lab(measured, "--measured", &color, err);
  if (status == DW_OK)
    status = dw_blend_cup(shelf, &out->slab, &contents, measured ? &color : NULL, layer, err);
  return status;
}

static dw_status set_color(const cli_args *args, size_t option, const dw_shelf *shelf, dw_blends *out,
                           dw_error *err) {
  dw_blend_layer *layer = &out->layer[out->n];
  const char *text = args->option[option].value;
  dw_lab color;
  cli_layer_name(&text, "layer", out->n, layer->name);
  if (measured_after(args, option))
    return dw_fail(err, DW_USAGE, "--measured belongs to a --cup; --color is a measured color already.");
  dw_status status = cli_lab(text, "--color", &color, err);
  return status == DW_OK ? dw_blend_color(shelf, &out->slab, color, layer, err) : status;
}

static dw_status layers_given(const cli_args *args, const dw_shelf *shelf, dw_blends *out, dw_error *err) {
  dw_status status = DW_OK;
  out->rules = dw_rules_default();
  dw_settings_rules(&args->settings, shelf, &out->rules);
  for (size_t i = 0; status == DW_OK && i < args->n_options; i++) {
    const bool is_cup = strcmp(args->option[i].name, "--cup") == 0;
    if (!is_cup && strcmp(args->option[i].name, "--color") != 0) continue;
    if (out->n == DW_BLEND_LAYERS_MAX)
      return dw_fail(err, DW_USAGE, "A bait has at most %d layers here.", DW_BLEND_LAYERS_MAX);
    status = is_cup ? set_cup(args, i, shelf, out, err) : set_color(args, i, shelf, out, err);
    out->n++;
  }
  return status;
}

/* The layers when what is advised was added to their cups. */
static dw_status take_advised(const cli_args *args, dw_batch_question *question, const dw_shelf *shelf,
                              blend_job *job, dw_error *err) {
  dw_plugins *plugins = calloc(1, sizeof *plugins);
  dw_batch_advice *advice = NULL;
  dw_cup cup;
  dw_status status = plugins ? cli_find_plugins(args, plugins, err) : dw_fail_memory(err, "the plugins");
  question->plugins = plugins;
  if (status == DW_OK) status = dw_batch_advise(question, &advice, err);
  job->then = job->now;
  for (size_t i = 0; status == DW_OK && i < job->now.n; i++)
    if (dw_batch_advised_cup(advice, job->now.layer[i].name, &cup)) {
      job->changes = true;
      status = dw_blend_cup_then(shelf, &job->now.slab, &job->now.layer[i], &cup, &job->then.layer[i], err);
    }
  dw_batch_advice_free(advice);
  free(plugins);
  return status;
}

static dw_status layers_kept(const cli_args *args, dw_shelf *shelf, blend_job *job, dw_error *err) {
  if (cli_has(args, "--cup") || cli_has(args, "--color"))
    return dw_fail(err, DW_USAGE, "Give --pattern, or --cup and --color, not both.");
  dw_blends *out = &job->now;
  dw_book *book = NULL;
  dw_pattern pattern = {0};
  dw_cup fresh = {0};
  dw_batch_question *question = calloc(1, sizeof *question);
  if (!question) return dw_fail_memory(err, "the pattern's layers");
  dw_status status = set_volume(args, &fresh, err);
  if (status == DW_OK)
    status = cli_book_question(args, shelf, &fresh, &out->slab, &book, &pattern, question, err);
  if (status == DW_OK) status = dw_request_blends(&question->request, out, err);
  if (status == DW_OK && cli_has(args, "--advised")) status = take_advised(args, question, shelf, job, err);
  dw_book_close(book);
  free(question);
  return status;
}

/* ---- the command ------------------------------------------------------------------------------------------
 */

static dw_status say(const cli_args *args, const dw_shelf *shelf, const blend_job *job, dw_error *err) {
  if (args->answer_is) return DW_OK;
  if (args->json) {
    json_t *json = dw_json_blends(shelf, &job->now, &args->style);
    if (cli_has(args, "--advised"))
      json = dw_json_with(json, "then",
                          job->changes ? dw_json_blends(shelf, &job->then, &args->style) : json_null());
    return cli_print_json(json, err);
  }
  dw_text text = {0};
  if (job->changes) dw_text_add(&text, "As it is\n");
  dw_text_blends(shelf, &job->now, &args->style, &text);
  if (job->changes) {
    dw_text_add(&text, "\nAs it will be, with what is advised\n");
    dw_text_blends(shelf, &job->then, &args->style, &text);
  } else if (cli_has(args, "--advised")) {
    dw_text_add(&text, "Nothing is advised: it stays as it is.\n");
  }
  return cli_print_text(&text, err);
}

static dw_status check(const cli_args *args, dw_error *err) {
  dw_status status = cli_words(args, 0, 0, "", err);
  if (status == DW_OK && cli_has(args, "--advised") &&
      !(cli_has(args, "--pattern") && cli_has(args, "--batch")))
    status =
        dw_fail(err, DW_USAGE, "--advised shows what a batch's cups will be: give --pattern and --batch.");
  return status;
}

static dw_status work(const cli_args *args, blend_job *job, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = check(args, err);
  if (status == DW_OK) status = cli_slab(args, &job->now.slab, err);
  if (status == DW_OK) status = cli_shelf(args, &shelf, err);
  if (status == DW_OK)
    status = cli_has(args, "--pattern") ? layers_kept(args, shelf, job, err)
                                        : layers_given(args, shelf, &job->now, err);
  if (status == DW_OK && job->now.n < 2)
    status = dw_fail(err, DW_USAGE,
                     "blend needs at least two layers: give --cup or --color for each, or --pattern.");
  if (status == DW_OK) status = dw_blends_work(shelf, &job->now, err);
  if (status == DW_OK && job->changes) status = dw_blends_work(shelf, &job->then, err);
  if (status == DW_OK)
    status = cli_blend_pictures(args, shelf, &job->now, job->changes ? &job->then : NULL, err);
  if (status == DW_OK) status = say(args, shelf, job, err);
  dw_shelf_free(shelf);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  blend_job *job = calloc(1, sizeof *job);
  if (!job) return dw_fail_memory(err, "the blends");
  dw_status status = work(args, job, err);
  free(job);
  return status;
}

const cli_command cli_blend = {
    .name = "blend",
    .summary = "the colors where two layers meet",
    .usage = "--cup DROPS --cup DROPS ... [--volume V] [--thickness MM] [--over BACKING]",
    .about = "Layers are given from back to belly. Between each two: the color at 25, 50 and 75% of the "
             "second, whether\n"
             "it turns muddy, and which layer drowns the other, with the least change that evens them. A "
             "layer known by\n"
             "its color alone is estimated with the shelf's bottles, and its doubt says so. With --advised a "
             "picture shows "
             "both,\n"
             "the batch as it is to the left.",
    .example =
        "dropwise blend --cup \"back:brown=16;orange=4\" --cup \"side:orange=20\" --cup \"belly:blue=6\"",
    .options = options,
    .run = run,
    .settings = true,
};
