#include "app/cli/book.h"
#include "dropwise/batch_tone.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--lab", "LAB", "add: a reference color; may be repeated.  check: the color to place"},
    {"--layer", "NAME",
     "add, check: which layer of the photos, marked or found (back, belly ...); default the tone's own name"},
    {"--note", "TEXT", "add: a note on a new tone"},
    CLI_PHOTO_OPTIONS,
    {NULL, NULL, NULL},
};

/* ---- samples: invented, so that check can be tried before there are references of one's own ------------ */

enum { SAMPLE_COLORS = 5 };
static const struct {
  const char *name;
  dw_lab color[SAMPLE_COLORS];
} samples[] = {
    {"sample: crawfish back", {{31, 5, 9}, {27, 7, 11}, {35, 4, 12}, {29, 3, 7}, {33, 8, 13}}},
    {"sample: crawfish side", {{47, 22, 26}, {44, 26, 30}, {51, 19, 25}, {42, 20, 22}, {49, 25, 31}}},
    {"sample: crawfish belly", {{67, 7, 20}, {71, 5, 17}, {63, 9, 22}, {69, 4, 15}, {65, 8, 24}}},
    {"sample: minnow back", {{36, -11, 0}, {33, -8, 3}, {40, -12, -2}, {38, -9, 4}, {34, -10, -3}}},
    {"sample: minnow belly", {{78, -1, 2}, {82, 0, 4}, {74, -2, 0}, {80, 1, 5}, {76, -1, 3}}},
    {"sample: bluegill side", {{52, -6, 24}, {48, -9, 20}, {56, -4, 28}, {50, -3, 22}, {54, -8, 26}}},
};
static const char sample_note[] = "invented, not measured from any animal";

static dw_status add_sample(dw_book *book, size_t i, size_t *added, dw_error *err) {
  dw_tone there;
  int64_t id;
  dw_status status = dw_tone_find(book, samples[i].name, &there, err);
  if (status != DW_NOT_FOUND) return status;
  status = dw_tone_add(book, samples[i].name, sample_note, true, &id, err);
  for (size_t c = 0; c < SAMPLE_COLORS && status == DW_OK; c++)
    status = dw_tone_color_add(book, id, samples[i].color[c], 0, NULL, err);
  ++*added;
  return status;
}

static dw_status run_samples(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_text text = {0};
  size_t added = 0;
  dw_status status = cli_book_write(args, &book, err);
  for (size_t i = 0; i < sizeof samples / sizeof *samples && status == DW_OK; i++)
    status = add_sample(book, i, &added, err);
  status = cli_book_keep(args, "The sample tones were kept", book, status, err);
  if (status != DW_OK) return status;
  dw_text_add(&text,
              "Added %zu sample tones. They are invented: make your own from photos of live animals.\n",
              added);
  return cli_say(args, json_pack("{s:I, s:b}", "added", (json_int_t)added, "invented", 1), &text, err);
}

/* ---- showing ------------------------------------------------------------------------------------------- */

static void tone_text(const dw_tone *tone, const dw_tone_range *range, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%-24s ", tone->name);
  if (range) {
    dw_text_swatch(range->center, style, out);
    dw_text_add(out, "%.1f,%.1f,%.1f, reaching %.1f to %.1f; ", dw_rounded(range->center.L, 1),
                dw_rounded(range->center.a, 1), dw_rounded(range->center.b, 1), range->half[0],
                range->half[2]);
  }
  dw_text_add(out, "%zu reference%s%s%s%s\n", tone->n, tone->n == 1 ? "" : "s",
              tone->invented ? "; invented" : "", *tone->note && !tone->invented ? "; " : "",
              tone->invented ? "" : tone->note);
}

/* *known false for a tone without colors. */
static dw_status range_of(dw_book *book, const dw_tone *tone, bool *known, dw_tone_range *out,
                          dw_error *err) {
  *known = tone->n > 0;
  return *known ? dw_tone_range_load(book, tone->id, out, err) : DW_OK;
}

/* kept  what stands in the book by now, or NULL where it was only read */
static dw_status say_tone(const cli_args *args, dw_book *book, dw_status status, const char *kept,
                          dw_error *err) {
  const char *name = args->word[1];
  dw_tone tone;
  dw_tone_range range;
  dw_text text = {0};
  bool known = false;
  if (status == DW_OK) status = dw_tone_find(book, name, &tone, err);
  if (status == DW_OK) status = range_of(book, &tone, &known, &range, err);
  status = kept ? cli_book_keep(args, kept, book, status, err) : cli_book_done(book, status, err);
  if (status != DW_OK) return status;
  tone_text(&tone, known ? &range : NULL, &args->style, &text);
  return cli_say(args, dw_json_tone_kept(&tone, known ? &range : NULL), &text, err);
}

static dw_status run_show(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_read(args, &book, err);
  return say_tone(args, book, status, NULL, err);
}

static dw_status run_list(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_tone *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_tone_list(book, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    dw_tone_range range;
    bool known;
    status = range_of(book, &list[i], &known, &range, err);
    if (status != DW_OK) break;
    array = dw_json_and(array, dw_json_tone_kept(&list[i], known ? &range : NULL));
    tone_text(&list[i], known ? &range : NULL, &args->style, &text);
  }
  if (n == 0)
    dw_text_add(&text, "The book holds no tone yet; dropwise tone add makes one, tone samples adds some.\n");
  free(list);
  return cli_book_say(args, book, status, json_pack("{s:o}", "tones", array), &text, err);
}

/* ---- changing ------------------------------------------------------------------------------------------ */

static const char *layer_name(const cli_args *args) {
  const char *layer = cli_value(args, "--layer");
  return layer ? layer : args->word[1];
}

static dw_status read_photos(const cli_args *args, cli_photos *out, dw_error *err) {
  dw_find_wish wish;
  dw_status status = cli_find_wish(args, NULL, &wish, err);
  return status == DW_OK ? cli_photos_read(args, layer_name(args), &wish, out, err) : status;
}

static dw_status add_photo_color(dw_book *book, int64_t tone, const dw_read_photo *photo, const char *layer,
                                 dw_error *err) {
  const dw_layer_reading *found = dw_read_photo_layer(photo, layer);
  int64_t id;
  if (!found) return dw_read_photo_lacks(photo, layer, err);
  json_t *json = dw_read_photo_detail(photo, layer);
  char *detail = json ? dw_json_write(json, JSON_COMPACT) : NULL;
  json_decref(json);
  dw_status status = detail ? dw_keep_photo(book, photo, &id, err) : dw_fail_memory(err, "a tone's color");
  if (status == DW_OK) status = dw_tone_color_add(book, tone, found->reading.lab, id, detail, err);
  free(detail);
  return status;
}

static dw_status add_colors(const cli_args *args, dw_book *book, int64_t tone, const cli_photos *photos,
                            dw_error *err) {
  const char *text;
  dw_lab lab;
  dw_status status = DW_OK;
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--lab", &at));) {
    status = cli_lab(text, "--lab", &lab, err);
    if (status == DW_OK) status = dw_tone_color_add(book, tone, lab, 0, NULL, err);
  }
  for (size_t i = 0; i < photos->n && status == DW_OK; i++)
    status = add_photo_color(book, tone, &photos->photo[i], layer_name(args), err);
  return status;
}

static dw_status find_or_add(const cli_args *args, dw_book *book, int64_t *id, dw_error *err) {
  const char *note = cli_value(args, "--note");
  dw_tone tone;
  dw_status status = dw_tone_find(book, args->word[1], &tone, err);
  if (status == DW_OK && tone.invented)
    status = dw_fail(err, DW_BAD_INPUT, "\"%s\" is an invented sample; begin a tone of your own.", tone.name);
  if (status == DW_OK) *id = tone.id;
  if (status == DW_NOT_FOUND) status = dw_tone_add(book, args->word[1], note ? note : "", false, id, err);
  return status;
}

static dw_status run_add(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  cli_photos photos = {0};
  int64_t id = 0;
  dw_status status = DW_OK;
  if (!cli_has(args, "--lab") && !cli_has(args, "--photo"))
    status = dw_fail(err, DW_USAGE,
                     "tone add needs reference colors: --lab LAB or --photo PHOTO, each perhaps several.");
  if (status == DW_OK) status = read_photos(args, &photos, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = find_or_add(args, book, &id, err);
  if (status == DW_OK) status = add_colors(args, book, id, &photos, err);
  cli_photos_free(&photos);
  return say_tone(args, book, status, "The references were kept", err);
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_tone tone;
  dw_text text = {0};
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_tone_find(book, args->word[1], &tone, err);
  if (status == DW_OK) status = dw_tone_remove(book, tone.id, err);
  status = cli_book_keep(args, "The tone was removed", book, status, err);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Removed %s.\n", tone.name);
  return cli_say(args, json_pack("{s:s}", "removed", tone.name), &text, err);
}

/* ---- check --------------------------------------------------------------------------------------------- */

static dw_status color_to_check(const cli_args *args, dw_lab *out, dw_error *err) {
  cli_photos photos = {0};
  dw_reading mean;
  double spread;
  if (cli_has(args, "--lab")) return cli_lab(cli_value(args, "--lab"), "--lab", out, err);
  if (!cli_has(args, "--photo"))
    return dw_fail(err, DW_USAGE, "tone check needs --lab LAB or --photo PHOTO.");
  dw_status status = read_photos(args, &photos, err);
  if (status == DW_OK) status = cli_photos_mean(&photos, layer_name(args), &mean, &spread, err);
  if (status == DW_OK) *out = mean.lab;
  cli_photos_free(&photos);
  return status;
}

static void say_way(const dw_tone *tone, dw_lab color, const dw_tone_spot *spot, dw_text *text) {
  char excess[80];
  dw_excess_words(color, spot->nearest, excess, sizeof excess);
  dw_text_add(text, ": outside %s by %.1f, %s; nearest in it ", tone->name, spot->away_de00, excess);
  dw_text_lab(spot->nearest, text);
  dw_text_add(text, "\n");
}

static dw_status say_spot(const cli_args *args, const dw_tone *tone, dw_lab color, const dw_tone_spot *spot,
                          dw_error *err) {
  dw_text text = {0};
  char words[160];
  dw_difference_words(color, spot->nearest, words, sizeof words);
  dw_text_swatch(color, &args->style, &text);
  dw_text_lab(color, &text);
  if (spot->inside)
    dw_text_add(&text, ": inside %s, %.0f%% of the way to its edge\n", tone->name, 100 * spot->share);
  else
    say_way(tone, color, spot, &text);
  if (tone->invented) dw_text_add(&text, "! This tone is an invented sample.\n");
  json_t *json = json_pack("{s:s, s:b, s:o, s:b, s:o, s:o, s:o, s:s}", "tone", tone->name, "invented",
                           tone->invented, "lab", dw_json_lab(color), "inside", spot->inside, "away_de00",
                           dw_json_round(spot->away_de00, 2), "share", dw_json_round(spot->share, 3),
                           "nearest", dw_json_lab(spot->nearest), "to_tone", spot->inside ? "" : words);
  return cli_say(args, json, &text, err);
}

static dw_status run_check(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_tone tone;
  dw_tone_range range;
  dw_tone_spot spot;
  dw_lab color = {0};
  bool known = false;
  dw_status status = color_to_check(args, &color, err);
  if (status == DW_OK) status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_tone_find(book, args->word[1], &tone, err);
  if (status == DW_OK) status = range_of(book, &tone, &known, &range, err);
  status = cli_book_done(book, status, err);
  if (status == DW_OK && !known)
    status = dw_fail(err, DW_TOO_FEW, "The tone \"%s\" has no color yet.", tone.name);
  if (status != DW_OK) return status;
  dw_tone_place(&range, color, &spot);
  return say_spot(args, &tone, color, &spot, err);
}

static const cli_verb verbs[] = {
    {"add", "NAME --lab LAB... | --photo PHOTO...", 1, 1, run_add},
    {"list", "", 0, 0, run_list},
    {"show", "NAME", 1, 1, run_show},
    {"check", "NAME --lab LAB | --photo PHOTO...", 1, 1, run_check},
    {"remove", "NAME", 1, 1, run_remove},
    {"samples", "", 0, 0, run_samples},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_tone = {
    .name = "tone",
    .summary = "the range of natural colors of a layer, from several references",
    .usage = "add NAME --lab LAB... | --photo PHOTO...; check NAME --lab LAB; list | show NAME | remove NAME "
             "| samples",
    .about = "A tone is an ellipsoid around its references; check says whether a color lies inside, or how "
             "far out\n"
             "and where the nearest natural color is. samples adds a few invented ones to try it with.",
    .example = "dropwise tone check \"sample: crawfish belly\" --lab 60,20,35",
    .options = options,
    .run = run,
};
