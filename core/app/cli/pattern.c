#include "app/cli/pattern.h"

#include "app/cli/find_strips.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

static const cli_option options[] = {
    {"--photo", "PHOTO",
     "see-through: of baits half over a black and half over a white strip; sets all layers"},
    CLI_GIVEN_LIGHT_OPTIONS,
    {"--thickness", "MM", "see-through: of the baits in the photo, stated with the result"},
    CLI_BACK_OPTION,
    {"--layer", "NAME[=PATTERN/LAYER]",
     "add: a layer, the back first; may be repeated. With a layer of another pattern it takes over its "
     "target, "
     "see-through and last good cup"},
    {"--swirl", "SHARES",
     "add: the layers are 2 or 3 colors of a swirl, without order: the percentage of the bait that each is "
     "to have, as "
     "in 60,40, or any"},
    {"--note", "TEXT", "add: a note"},
    {"--bottles", NULL,
     "export: with the chips of the bottles that its good cups hold; import: add those bottles where they "
     "are "
     "not on the shelf"},
    {"--as", "NAME", "import: the pattern's name in this book"},
    {NULL, NULL, NULL},
};

/* ---- showing ------------------------------------------------------------------------------------------- */

static json_t *layer_json(const dw_pattern_layer *layer) {
  json_t *json = json_pack("{s:s, s:o, s:o}", "name", layer->name, "target",
                           layer->has_target ? dw_json_lab(layer->target) : json_null(), "see_through",
                           layer->see_through >= 0 ? dw_json_round(layer->see_through, 3) : json_null());
  if (json && layer->has_target) {
    json = dw_json_with(json, "target_how", json_string(dw_target_how_words(layer->target_how)));
    json = dw_json_with(json, "target_since", json_string(layer->target_since));
    json = dw_json_with(json, "target_uncertainty_de00", dw_json_round(layer->target_uncertainty_de00, 2));
    json = dw_json_with(json, "target_no_card", json_boolean(layer->target_no_card));
  }
  if (layer->share >= 0) json = dw_json_with(json, "share", dw_json_round(layer->share, 4));
  return dw_json_with(json, "tone", layer->tone ? json_string(layer->tone_name) : json_null());
}

static json_t *pattern_json(const dw_pattern *pattern) {
  json_t *layers = json_array();
  for (size_t i = 0; i < pattern->n; i++) layers = dw_json_and(layers, layer_json(&pattern->layer[i]));
  return json_pack("{s:s, s:s, s:s, s:b, s:b, s:s, s:I, s:o}", "name", pattern->name, "note", pattern->note,
                   "unwanted", pattern->unwanted, "clean_blends", pattern->clean_blends, "swirl",
                   pattern->swirl, "created", pattern->created, "batches", (json_int_t)pattern->batches,
                   "layers", layers);
}

static void layer_text(const dw_pattern_layer *layer, const dw_style *style, dw_text *out) {
  char words[DW_NOTE_TEXT];
  dw_text_add(out, "  %-12s ", layer->name);
  if (layer->has_target) {
    dw_color_words(layer->target, words, sizeof words);
    dw_text_swatch(layer->target, style, out);
    dw_text_lab(layer->target, out);
    dw_text_add(out, "  %s, %s, %.10s", words, dw_target_how_words(layer->target_how), layer->target_since);
    dw_target_doubt_words(layer->target_no_card, layer->target_uncertainty_de00, words, sizeof words);
    if (*words) dw_text_add(out, "  ! %s", words);
  } else {
    dw_text_add(out, "no target yet");
  }
  if (layer->see_through >= 0) {
    dw_text_add(out, "; wanted ");
    dw_text_see_through(layer->see_through, out);
  }
  if (layer->share >= 0) dw_text_add(out, "; %.0f%% of the bait", 100 * layer->share);
  if (layer->tone) dw_text_add(out, "; natural tone \"%s\"", layer->tone_name);
  dw_text_add(out, "\n");
}

static void pattern_text(const dw_pattern *pattern, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s: %zu batch%s%s%s\n", pattern->name, pattern->batches,
              pattern->batches == 1 ? "" : "es", *pattern->note ? "; " : "", pattern->note);
  for (size_t i = 0; i < pattern->n; i++) layer_text(&pattern->layer[i], style, out);
  if (*pattern->unwanted) dw_text_add(out, "  unwanted: %s\n", pattern->unwanted);
  if (pattern->clean_blends) dw_text_add(out, "  clean blends wanted\n");
  if (pattern->swirl) dw_text_add(out, "  a swirl: its colors have no order\n");
}

static dw_status say(const cli_args *args, const dw_pattern *pattern, dw_error *err) {
  dw_text text = {0};
  pattern_text(pattern, &args->style, &text);
  return cli_say(args, pattern_json(pattern), &text, err);
}

static dw_status run_list(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_list(book, &list, &n, err);
  for (size_t i = 0; i < n; i++) {
    array = dw_json_and(array, pattern_json(&list[i]));
    pattern_text(&list[i], &args->style, &text);
  }
  if (n == 0) dw_text_add(&text, "The book holds no pattern yet; dropwise pattern add makes one.\n");
  free(list);
  return cli_book_say(args, book, status, json_pack("{s:o}", "patterns", array), &text, err);
}

static dw_status run_show(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  status = cli_book_done(book, status, err);
  return status == DW_OK ? say(args, &pattern, err) : status;
}

/* ---- changing ------------------------------------------------------------------------------------------ */

/* Where one layer of a new pattern comes from. */
typedef struct added_layer {
  char name[DW_ID_ROOM];
  dw_pattern from;
} added_layer;

/* "belly=creek crawfish/belly" */
static dw_status take_source(dw_book *book, const char *text, added_layer *added, dw_layer_source *out,
                             dw_error *err) {
  char pattern[DW_PATTERN_NAME_ROOM];
  const dw_pattern_layer *layer;
  const char *equals = strchr(text, '='), *from;
  const size_t name = equals ? (size_t)(equals - text) : strlen(text);
  if (name >= sizeof added->name || (equals && !cli_split_layer(equals + 1, pattern, &from)))
    return dw_fail(err, DW_USAGE,
                   "--layer takes a name, or a name and where it comes from, as in \"belly=creek "
                   "crawfish/belly\", not \"%.60s\".",
                   text);
  memcpy(added->name, text, name);
  added->name[name] = '\0';
  *out = (dw_layer_source){.name = added->name};
  if (!equals) return DW_OK;
  dw_status status = dw_pattern_find(book, pattern, &added->from, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&added->from, from, &layer, err);
  if (status != DW_OK) return status;
  out->pattern = &added->from;
  out->layer = (size_t)(layer - added->from.layer);
  return DW_OK;
}

/* text  "60,40", "any", or "none": layers in order */
static dw_status set_swirl(dw_book *book, int64_t id, size_t layers, const char *text, dw_error *err) {
  double percent[DW_PATTERN_LAYERS_MAX];
  const bool none = strcmp(text, "none") == 0, any = strcmp(text, "any") == 0;
  if (!none && !any && !dw_parse_numbers(text, layers, percent))
    return dw_fail(
        err, DW_USAGE,
        "A swirl's shares are a percentage for each of the %zu colors, as in 60,40, or any; not \"%.60s\".",
        layers, text);
  return dw_pattern_set_swirl(book, id, !none, percent, none || any ? 0 : layers, err);
}

static dw_status add_pattern(const cli_args *args, dw_book *book, const char *const *text, size_t n,
                             dw_pattern *out, dw_notes *notes, dw_error *err) {
  const char *note = cli_value(args, "--note");
  dw_layer_source source[DW_PATTERN_LAYERS_MAX];
  added_layer *added = calloc(n, sizeof *added);
  dw_shelf *shelf = NULL;
  int64_t id;
  dw_status status = added ? dw_book_shelf(book, &shelf, NULL, err) : dw_fail_memory(err, "the pattern");
  for (size_t i = 0; status == DW_OK && i < n; i++)
    status = take_source(book, text[i], &added[i], &source[i], err);
  if (status == DW_OK)
    status = dw_pattern_add_from(book, args->word[1], note ? note : "", source, n, shelf, &id, notes, err);
  if (status == DW_OK && cli_has(args, "--swirl"))
    status = set_swirl(book, id, n, cli_value(args, "--swirl"), err);
  if (status == DW_OK) status = dw_pattern_get(book, id, out, err);
  dw_shelf_free(shelf);
  free(added);
  return status;
}

static dw_status run_add(const cli_args *args, dw_error *err) {
  const char *layers[DW_PATTERN_LAYERS_MAX], *layer;
  size_t n = 0;
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_notes notes = {0};
  for (size_t at = 0; (layer = cli_next(args, "--layer", &at));) {
    if (n == DW_PATTERN_LAYERS_MAX)
      return dw_fail(err, DW_USAGE, "A pattern has at most %d layers.", DW_PATTERN_LAYERS_MAX);
    layers[n++] = layer;
  }
  if (n == 0)
    return dw_fail(err, DW_USAGE, "A pattern needs its layers: --layer back --layer belly, the back first.");
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = add_pattern(args, book, layers, n, &pattern, &notes, err);
  status = cli_book_keep(args, "The pattern was kept", book, status, err);
  for (size_t i = 0; status == DW_OK && i < notes.n; i++) cli_remark(notes.text[i]);
  return status == DW_OK ? say(args, &pattern, err) : status;
}

typedef dw_status (*pattern_change)(dw_book *book, const dw_pattern *pattern, const cli_args *args,
                                    dw_error *err);

static dw_status change(const cli_args *args, pattern_change call, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = call(book, &pattern, args, err);
  if (status == DW_OK) status = dw_pattern_get(book, pattern.id, &pattern, err);
  status = cli_book_keep(args, "The change was kept", book, status, err);
  return status == DW_OK ? say(args, &pattern, err) : status;
}

static dw_status rename_to(dw_book *book, const dw_pattern *pattern, const cli_args *args, dw_error *err) {
  return dw_pattern_rename(book, pattern->id, args->word[2], err);
}

static dw_status note_to(dw_book *book, const dw_pattern *pattern, const cli_args *args, dw_error *err) {
  return dw_pattern_set_note(book, pattern->id, args->word[2], err);
}

static dw_status see_through_to(dw_book *book, const dw_pattern *pattern, const cli_args *args,
                                dw_error *err) {
  const dw_pattern_layer *layer;
  double ratio = -1;
  if (strcmp(args->word[3], "none") != 0 && !dw_parse_number_in(args->word[3], 0, 1, &ratio))
    return dw_fail(
        err, DW_USAGE,
        "See-through is a contrast ratio from 0 (all light comes through) to 1 (nothing behind it shows), or "
        "none; not \"%.40s\".",
        args->word[3]);
  dw_status status = dw_pattern_layer_find(pattern, args->word[2], &layer, err);
  return status == DW_OK ? dw_pattern_set_see_through(book, layer->id, ratio, err) : status;
}

static dw_status tone_to(dw_book *book, const dw_pattern *pattern, const cli_args *args, dw_error *err) {
  const dw_pattern_layer *layer;
  const char *tone = strcmp(args->word[3], "none") == 0 ? NULL : args->word[3];
  dw_status status = dw_pattern_layer_find(pattern, args->word[2], &layer, err);
  return status == DW_OK ? dw_pattern_set_tone(book, layer->id, tone, err) : status;
}

static dw_status unwanted_to(dw_book *book, const dw_pattern *pattern, const cli_args *args, dw_error *err) {
  return dw_pattern_set_unwanted(book, pattern->id, args->word[2], err);
}

static dw_status blends_to(dw_book *book, const dw_pattern *pattern, const cli_args *args, dw_error *err) {
  const bool clean = strcmp(args->word[2], "clean") == 0;
  if (!clean && strcmp(args->word[2], "any") != 0)
    return dw_fail(err, DW_USAGE, "Blends are wanted clean, or any will do; not \"%.40s\".", args->word[2]);
  return dw_pattern_set_clean_blends(book, pattern->id, clean, err);
}

static dw_status swirl_to(dw_book *book, const dw_pattern *pattern, const cli_args *args, dw_error *err) {
  return set_swirl(book, pattern->id, pattern->n, args->word[2], err);
}

static dw_status run_swirl(const cli_args *args, dw_error *err) {
  return change(args, swirl_to, err);
}

static dw_status run_rename(const cli_args *args, dw_error *err) {
  return change(args, rename_to, err);
}

static dw_status run_note(const cli_args *args, dw_error *err) {
  return change(args, note_to, err);
}

static dw_status run_see_through(const cli_args *args, dw_error *err) {
  if (args->n_words == 2 && cli_has(args, "--photo")) return cli_pattern_strips(args, err);
  if (args->n_words != 4)
    return dw_fail(err, DW_USAGE,
                   "pattern see-through takes a pattern, a layer and a ratio, or a pattern and --photo.");
  return change(args, see_through_to, err);
}

static dw_status run_tone(const cli_args *args, dw_error *err) {
  return change(args, tone_to, err);
}

static dw_status run_unwanted(const cli_args *args, dw_error *err) {
  return change(args, unwanted_to, err);
}

static dw_status run_blends(const cli_args *args, dw_error *err) {
  return change(args, blends_to, err);
}

/* The book as it is, beside it, before batches go that nobody can pour again. */
static dw_status keep_copy(const cli_args *args, char *kept, size_t room, dw_error *err) {
  char path[4096], stamp[32];
  dw_book *book = NULL;
  dw_pattern pattern;
  time_t now = time(NULL);
  struct tm utc;
  gmtime_r(&now, &utc);
  strftime(stamp, sizeof stamp, "%Y%m%dT%H%M%SZ", &utc);
  *kept = '\0';
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status == DW_OK) status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK && pattern.batches > 0) {
    snprintf(kept, room, "%s.before-remove-%s", path, stamp);
    dw_book_rollback(book);
    status = dw_book_backup(book, kept, err);
  }
  dw_book_close(book);
  return status;
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  char kept[4200];
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_text text = {0};
  dw_status status = keep_copy(args, kept, sizeof kept, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = dw_pattern_remove(book, pattern.id, err);
  status = cli_book_keep(args, "The pattern was removed", book, status, err);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Removed %s with its %zu batch%s.\n", pattern.name, pattern.batches,
              pattern.batches == 1 ? "" : "es");
  if (*kept)
    dw_text_add(&text, "The book as it was is kept: %s\nIt comes back with: dropwise book restore %s\n", kept,
                kept);
  return cli_say(args,
                 json_pack("{s:s, s:I, s:s}", "removed", pattern.name, "batches", (json_int_t)pattern.batches,
                           "kept", kept),
                 &text, err);
}

static const cli_verb verbs[] = {
    {"add", "NAME --layer LAYER...", 1, 1, run_add},
    {"list", "", 0, 0, run_list},
    {"show", "NAME", 1, 1, run_show},
    {"rename", "NAME NEW-NAME", 2, 2, run_rename},
    {"note", "NAME TEXT", 2, 2, run_note},
    {"see-through", "NAME LAYER RATIO|none; see-through NAME --photo PHOTO", 1, 3, run_see_through},
    {"tone", "NAME LAYER TONE|none", 3, 3, run_tone},
    {"unwanted", "NAME BOTTLE,...|none", 2, 2, run_unwanted},
    {"blends", "NAME clean|any", 2, 2, run_blends},
    {"swirl", "NAME SHARES|any|none", 2, 2, run_swirl},
    {"remove", "NAME", 1, 1, run_remove},
    {"export", "NAME [FILE] [--bottles]", 1, 2, cli_pattern_export},
    {"import", "FILE [--as NAME] [--bottles]", 1, 1, cli_pattern_import},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_pattern = {
    .name = "pattern",
    .summary = "named bait colors: their layers, back first",
    .usage = "add NAME --layer LAYER... | list | show NAME | rename NAME NEW | note NAME TEXT |\n"
             "     see-through NAME LAYER RATIO|none | tone NAME LAYER TONE|none | unwanted NAME "
             "BOTTLE,...|none |\n"
             "     blends NAME clean|any | swirl NAME SHARES|any|none | remove NAME |\n"
             "     export NAME [FILE] [--bottles] | import FILE [--as NAME] [--bottles]",
    .about =
        "remove takes the pattern's targets, batches and readings with it; a copy of the book as it was "
        "is kept\n"
        "beside it when there are batches. See-through is a contrast ratio: 0 lets all light through, 1 "
        "hides what "
        "is behind.\nA layer with a natural tone and no target is led to the tone. What is unwanted is "
        "never added to a cup.\nWith clean blends advise also says how to keep neighbors from turning muddy "
        "where they meet.\nexport writes one file for another book; import solves it for the "
        "bottles there, and "
        "says how near they\ncome. swirl: the layers are 2 or 3 colors "
        "without order; photos of "
        "its baits are read as swirls, and drift\nlooks at the share of each and at its color. A bottle is "
        "known by what its drops look like: another's white is "
        "never yours.",
    .example = "dropwise pattern add \"creek crawfish\" --layer back --layer middle --layer belly",
    .options = options,
    .run = run,
};
