/* find: card, baits, layers and blends of photos in which nothing is marked. */
#include "app/cli/cli.h"

#include "dropwise/read_find.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--card-set", "SET",
     "which card to look for: grid24, grid24-early, grid24-late, or a CGATS file; default grid24"},
    {"--layers", "N", "how many layers each bait has, 1 to 4; default as many as its photo shows"},
    {"--back", "SIDE", "which side of a bait in the photo is its back: upper (default) or lower"},
    {NULL, NULL, NULL},
};

static dw_status rules_from(const cli_args *args, dw_bait_rules *out, dw_error *err) {
  const char *back = cli_value(args, "--back");
  double layers;
  *out = (dw_bait_rules){0};
  dw_status status = cli_number(args, "--layers", 1, DW_BAIT_LAYERS_MAX, 0, &layers, err);
  if (status != DW_OK) return status;
  out->layers = (size_t)layers;
  if ((double)out->layers != layers)
    return dw_fail(err, DW_USAGE, "--layers takes a whole number from 1 to 4.");
  if (!back || strcmp(back, "upper") == 0) return DW_OK;
  if (strcmp(back, "lower") != 0)
    return dw_fail(err, DW_USAGE, "--back is upper or lower, not \"%.40s\".", back);
  out->back = DW_BACK_LOWER;
  return DW_OK;
}

static void say_bait(const dw_bait *bait, size_t number, const dw_style *style, dw_text *out) {
  dw_text_add(out, "Bait %zu at %d,%d, %d x %d pixels\n", number, bait->box.x, bait->box.y, bait->box.w,
              bait->box.h);
  for (size_t i = 0; i < bait->n; i++) {
    const dw_reading *r = &bait->layer[i].reading;
    dw_text_add(out, "  %-7s %3.0f%%  ", dw_bait_layer_name(i, bait->n), 100 * bait->layer[i].share);
    dw_text_swatch(r->lab, style, out);
    dw_text_add(out, "%.2f,%.2f,%.2f  doubt %.2f\n", r->lab.L, r->lab.a, r->lab.b, r->uncertainty_de00);
  }
  for (size_t i = 0; i + 1 < bait->n; i++)
    dw_text_add(out, "  %s and %s blend over %.0f%% of the height\n", dw_bait_layer_name(i, bait->n),
                dw_bait_layer_name(i + 1, bait->n), 100 * bait->blend[i].width_share);
  for (size_t i = 0; i < bait->notes.n; i++) dw_text_add(out, "  Note: %s\n", bait->notes.text[i]);
}

static void say_spread(const dw_baits *baits, dw_text *out) {
  dw_baits_spread spread;
  if (!dw_baits_compare(baits, &spread)) return;
  dw_text_add(out, "Of the %zu baits with %zu layer%s:\n", spread.baits, spread.layers,
              spread.layers == 1 ? "" : "s");
  for (size_t l = 0; l < spread.layers; l++) {
    dw_text_add(out, "  %-7s mean %.2f,%.2f,%.2f, a bait typically %.2f away; share %.0f%% +- %.0f%%",
                dw_bait_layer_name(l, spread.layers), spread.layer[l].mean.L, spread.layer[l].mean.a,
                spread.layer[l].mean.b, spread.layer[l].spread_de00, 100 * spread.layer[l].share,
                100 * spread.layer[l].share_deviation);
    if (spread.layer[l].odd < baits->n)
      dw_text_add(out, "; the odd one is bait %zu, %.2f from the others", spread.layer[l].odd + 1,
                  spread.layer[l].odd_de00);
    dw_text_add(out, "\n");
  }
}

static void say_found(const dw_found *found, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s\nLight: %s\n", found->reading.path, found->reading.light.method_text);
  for (size_t i = 0; i < found->reading.light.notes.n; i++)
    dw_text_add(out, "  Note: %s\n", found->reading.light.notes.text[i]);
  for (size_t i = 0; i < found->baits.n; i++) say_bait(&found->baits.bait[i], i + 1, style, out);
  say_spread(&found->baits, out);
  for (size_t i = 0; i < found->baits.notes.n; i++)
    dw_text_add(out, "Note: %s\n", found->baits.notes.text[i]);
}

static dw_status find_one(const cli_args *args, const char *path, const dw_bait_rules *rules, json_t *list,
                          dw_text *text, dw_error *err) {
  const char *set = cli_value(args, "--card-set");
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  dw_status status = arena && found ? DW_OK : dw_fail_memory(err, "the baits");
  if (status == DW_OK) status = dw_find_read(path, set ? set : "grid24", rules, arena, found, err);
  if (status == DW_OK && args->json && json_array_append_new(list, dw_json_found(found)) != 0)
    status = dw_fail_memory(err, "the JSON result");
  if (status == DW_OK && !args->json) {
    if (text->length) dw_text_add(text, "\n");
    say_found(found, &args->style, text);
  }
  free(found);
  dw_arena_free(arena);
  return status;
}

static dw_status print_all(const cli_args *args, json_t *list, dw_text *text, dw_error *err) {
  if (!args->json) return cli_print_text(text, err);
  if (args->n_words == 1) return cli_print_json(json_incref(json_array_get(list, 0)), err);
  return cli_print_json(json_pack("{s:O}", "readings", list), err);
}

/* What can be read is reported; a photo that can't gets its sentence, and the first of them the exit code. */
static dw_status run(const cli_args *args, dw_error *err) {
  dw_bait_rules rules;
  dw_status status = cli_words(args, 1, CLI_WORDS_MAX, "a photo", err), first = DW_OK;
  if (status == DW_OK) status = rules_from(args, &rules, err);
  if (status != DW_OK) return status;
  dw_text text = {0};
  json_t *list = json_array();
  size_t failed = 0;
  for (size_t i = 0; i < args->n_words; i++) {
    dw_error why;
    dw_status one = find_one(args, args->word[i], &rules, list, &text, &why);
    if (one == DW_OK) continue;
    if (failed++ > 0) cli_complain(err);
    if (first == DW_OK) first = one;
    *err = why;
  }
  if (failed < args->n_words) status = print_all(args, list, &text, failed ? &(dw_error){0} : err);
  dw_text_free(&text);
  json_decref(list);
  return first != DW_OK ? first : status;
}

const cli_command cli_find = {
    .name = "find",
    .summary = "find the card and every bait in photos, and read the baits' layers; nothing is marked",
    .usage = "PHOTO... [--card-set SET] [--layers N] [--back upper|lower]",
    .about = "Baits lie apart on a plain board whose color differs from theirs. Each is read from back to "
             "belly: its\n"
             "layers, what share of the height each has, its color, and how wide the blends are.\n"
             "A live animal, a fish held in hand or a bait over a pattern is read by marks: dropwise read.",
    .example = "dropwise find shot.jpg --layers 3",
    .options = options,
    .run = run,
};
