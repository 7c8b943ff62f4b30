#include "app/cli/read.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    CLI_MARK_OPTIONS,
    CLI_BACK_OPTION,
    CLI_PICTURE_OPTIONS,
    {"--save-marks", "FILE", "keep the marks of this call for another photo"},
    {"--html", "FILE", "write a report with the photo as one HTML file"},
    {"--pattern", "NAME", "keep the readings in the book: whose layers the photos show"},
    {"--batch", "WHEN", "of which batch they are: its name, or the day it was begun, as in 2026-05-01"},
    {"--bait", "N",
     "which bait of the batch a photo shows, of several found in it the first: one for all photos, or one "
     "each; "
     "default 1, several after those of the batch"},
    {"--more", NULL, "what the columns mean"},
    CLI_SLAB_GIVEN_OPTIONS,
    {NULL, NULL, NULL},
};

dw_status cli_save_marks(const cli_args *args, const dw_marks *marks, dw_error *err) {
  const char *path = cli_value(args, "--save-marks");
  if (!path) return DW_OK;
  json_t *root = dw_marks_json(marks);
  char *text = root ? json_dumps(root, JSON_INDENT(2) | JSON_REAL_PRECISION(10)) : NULL;
  json_decref(root);
  if (!text) return dw_fail_memory(err, "the marks");
  dw_text whole = {0};
  dw_text_add(&whole, "%s\n", text);
  free(text);
  dw_status status =
      whole.failed ? dw_fail_memory(err, "the marks") : dw_file_write(path, whole.data, whole.length, err);
  dw_text_free(&whole);
  return status;
}

static dw_status write_report(const char *path, const dw_photo_reading *reading, const dw_preview *preview,
                              dw_units units, dw_error *err) {
  dw_html_report report = {.title = "Layers read", .reading = reading, .preview = preview, .units = units};
  dw_text html = {0};
  dw_status status = dw_html_write(&report, &html, err);
  if (status == DW_OK) status = dw_file_write(path, html.data, html.length, err);
  dw_text_free(&html);
  return status;
}

/* Reads one photo, and writes the report where one is wanted. */
static dw_status read_one(const cli_args *args, const char *path, const dw_marks *marks,
                          dw_photo_reading *reading, dw_error *err) {
  const char *html = cli_value(args, "--html");
  dw_preview preview = {0};
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? DW_OK : dw_fail_memory(err, "the reading");
  if (status == DW_OK)
    status = dw_flow_read(path, marks, NULL, html ? CLI_REPORT_SIDE : 0, arena, reading, &preview, err);
  if (status == DW_OK && html) status = write_report(html, reading, &preview, args->style.units, err);
  dw_arena_free(arena);
  return status;
}

/* ---- without the book ---------------------------------------------------------------------------------- */

/* json collects, text is printed behind the last one. */
static dw_status put_reading(const cli_args *args, const dw_photo_reading *reading, json_t *list,
                             dw_text *text, dw_error *err) {
  if (args->json) {
    bool done = json_array_append_new(list, dw_json_reading(reading)) == 0;
    return done ? DW_OK : dw_fail_memory(err, "the JSON result");
  }
  if (text->length) dw_text_add(text, "\n");
  dw_text_reading(reading, &args->style, text);
  return DW_OK;
}

static dw_status print_readings(const cli_args *args, json_t *list, dw_text *text, dw_error *err) {
  if (args->answer_is) return DW_OK;
  if (!args->json) {
    if (cli_has(args, "--more")) dw_text_reading_legend(text);
    return cli_print_text(text, err);
  }
  if (args->n_words == 1) return cli_print_json(json_incref(json_array_get(list, 0)), err);
  return cli_print_json(json_pack("{s:O}", "readings", list), err);
}

/* Wrong marks are told before any photo is read. */
static dw_status check_marks(const cli_args *args, dw_marks *marks, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < args->n_words && status == DW_OK; i++)
    status = cli_marks(args, i, args->n_words, marks, err);
  return status;
}

/* Why one of several photos can't be read: with its name, and after what was to be said before. */
static void hold_failure(const char *path, bool earlier, const dw_error *why, dw_error *err) {
  if (earlier) cli_complain(err);
  if (strstr(why->text, path))
    *err = *why;
  else
    dw_fail(err, why->code, "%.80s: %.400s", path, why->text);
}

/* What can be read is reported; each photo that can't gets its sentence, the last of them through err, and
 * the first tells the exit code. */
static dw_status read_all(const cli_args *args, dw_marks *marks, dw_error *err) {
  dw_text text = {0};
  json_t *list = json_array();
  size_t failed = 0;
  dw_photo_reading *reading = malloc(sizeof *reading);
  dw_status first = DW_OK;
  dw_status status = list && reading ? check_marks(args, marks, err) : dw_fail_memory(err, "the reading");
  for (size_t i = 0; i < args->n_words && status == DW_OK; i++) {
    dw_error why;
    status = cli_marks(args, i, args->n_words, marks, err);
    if (status != DW_OK) break;
    cli_card_search(args, args->word[i], marks);
    dw_status one = read_one(args, args->word[i], marks, reading, &why);
    if (one == DW_OK) {
      status = put_reading(args, reading, list, &text, err);
      continue;
    }
    hold_failure(args->word[i], failed > 0, &why, err);
    if (failed++ == 0) first = one;
  }
  if (status == DW_OK && failed < args->n_words) status = print_readings(args, list, &text, err);
  dw_text_free(&text);
  free(reading);
  json_decref(list);
  return status == DW_OK ? first : status;
}

/* ---- into the book ------------------------------------------------------------------------------------- */

static dw_status add_marked(const cli_args *args, size_t i, dw_marks *marks, cli_photos *photos,
                            dw_error *err) {
  dw_status status = cli_marks(args, i, args->n_words, marks, err);
  if (status == DW_OK) cli_card_search(args, args->word[i], marks);
  if (status == DW_OK) status = cli_photos_add(args->word[i], marks, NULL, photos, err);
  if (status == DW_OK && cli_has(args, "--html"))
    status = read_one(args, args->word[i], marks, &photos->photo[photos->n - 1].reading, err);
  return status;
}

/* The baits found in the photos, their layers those of the pattern. */
static dw_status find_baits(const cli_args *args, cli_photos *photos, dw_error *err) {
  dw_pattern pattern;
  dw_find_wish wish;
  dw_status status = cli_find_pattern(args, cli_value(args, "--pattern"), &pattern, err);
  if (status == DW_OK) status = cli_find_wish(args, &pattern, &wish, err);
  for (size_t i = 0; i < args->n_words && status == DW_OK; i++)
    status = cli_photos_add(args->word[i], NULL, &wish, photos, err);
  return status;
}

static dw_status read_and_keep(const cli_args *args, dw_marks *marks, dw_error *err) {
  cli_photos photos = {0};
  bool found = cli_nothing_marked(args);
  dw_status status = cli_read_check(args, err);
  if (status == DW_OK && found) status = find_baits(args, &photos, err);
  for (size_t i = 0; i < args->n_words && status == DW_OK && !found; i++)
    status = add_marked(args, i, marks, &photos, err);
  if (status == DW_OK && !found) status = cli_save_marks(args, marks, err);
  if (status == DW_OK) status = cli_read_keep(args, &photos, err);
  cli_photos_free(&photos);
  return status;
}

/* A reading takes and gives back a few megabytes many times over; keeping them spares the kernel from
 * clearing the same pages again, a fifth of the time of a large photo. */
static void keep_freed_memory(void) {
  mallopt(M_MMAP_THRESHOLD, 64 << 20);
  mallopt(M_TRIM_THRESHOLD, 64 << 20);
}

static dw_status check_wish(const cli_args *args, bool keep, dw_error *err) {
  dw_status status = cli_words(args, 1, CLI_WORDS_MAX, "a photo", err);
  if (status != DW_OK) return status;
  if (cli_has(args, "--html") && args->n_words > 1)
    return dw_fail(err, DW_USAGE, "--html takes one photo at a time.");
  if (cli_has(args, "--pattern") != cli_has(args, "--batch"))
    return dw_fail(err, DW_USAGE, "To keep readings in the book give both --pattern and --batch.");
  if (!keep && cli_has(args, "--bait"))
    return dw_fail(err, DW_USAGE, "--bait says whose readings are kept; give --pattern and --batch too.");
  if (keep && args->n_words > CLI_PHOTOS_MAX)
    return dw_fail(err, DW_USAGE, "At most %d photos can be kept at once.", CLI_PHOTOS_MAX);
  return DW_OK;
}

static dw_status run(const cli_args *args, dw_error *err) {
  bool keep = cli_has(args, "--batch");
  keep_freed_memory();
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status = marks ? check_wish(args, keep, err) : dw_fail_memory(err, "the marks");
  if (status == DW_OK && !keep && cli_nothing_marked(args)) {
    free(marks);
    return cli_find_all(args, err);
  }
  if (status == DW_OK) status = keep ? read_and_keep(args, marks, err) : read_all(args, marks, err);
  if (status == DW_OK && !keep) status = cli_save_marks(args, marks, err);
  free(marks);
  return status;
}

const cli_command cli_read = {
    .name = "read",
    .summary = "read the color of each layer of a photo, marked or found",
    .usage = "PHOTO... [--card X1,Y1,...,X4,Y4] [--layer NAME=SHAPE...] [--pattern NAME --batch WHEN]",
    .about =
        "Colors are CIELAB, D50, 2 degree observer. A card in the photo, or at least one gray patch, "
        "makes them\n"
        "comparable from photo to photo. Where neither is marked, the card (--card-set) is looked for; where "
        "nothing is\n"
        "marked, every bait on the board, too, as dropwise find does. Gloss, flake, shadow and clipped "
        "pixels are set aside and "
        "reported.\n"
        "Points are photo pixels, after the photo is turned upright.\n"
        "Of several photos those that can be read are reported; each other gets a sentence on stderr, and "
        "the\n"
        "first of them the exit code. What the book is to keep, it keeps of all photos or of none.\n"
        "With --pattern and --batch the readings are kept in the book: photos of one bait with the same "
        "--bait\n"
        "tell how well readings repeat, photos of several baits how much one batch varies.",
    .example = "dropwise read bait.jpg --card 90,80,610,84,606,424,88,420 --layer back=rect:300,520,200x40",
    .options = options,
    .run = run,
};
