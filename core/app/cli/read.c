#include "app/cli/read.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    CLI_MARK_OPTIONS,
    {"--save-marks", "FILE", "keep the marks of this call for another photo"},
    {"--html", "FILE", "write a report with the photo as one HTML file"},
    {"--pattern", "NAME", "keep the readings in the book: whose layers the photos show"},
    {"--batch", "WHEN", "of which batch they are: its name, or the day it was begun, as in 2026-05-01"},
    {"--bait", "N", "which bait of the batch a photo shows: one for all photos, or one each; default 1"},
    CLI_SLAB_GIVEN_OPTIONS,
    {NULL, NULL, NULL},
};

static pt_status save_marks(const char *path, const pt_marks *marks, pt_error *err) {
  json_t *root = pt__marks_json(marks);
  char *text = root ? json_dumps(root, JSON_INDENT(2) | JSON_REAL_PRECISION(10)) : NULL;
  json_decref(root);
  if (!text) return pt_fail_memory(err, "the marks");
  pt_text whole = {0};
  pt_text_add(&whole, "%s\n", text);
  free(text);
  pt_status status =
      whole.failed ? pt_fail_memory(err, "the marks") : pt_file_write(path, whole.data, whole.length, err);
  pt_text_free(&whole);
  return status;
}

static pt_status write_report(const char *path, const pt_photo_reading *reading, const pt_preview *preview,
                              pt_units units, pt_error *err) {
  pt_html_report report = {.title = "Layers read", .reading = reading, .preview = preview, .units = units};
  pt_text html = {0};
  pt_status status = pt_html_write(&report, &html, err);
  if (status == PT_OK) status = pt_file_write(path, html.data, html.length, err);
  pt_text_free(&html);
  return status;
}

/* Reads one photo, and writes the report where one is wanted. */
static pt_status read_one(const cli_args *args, const char *path, const pt_marks *marks,
                          pt_photo_reading *reading, pt_error *err) {
  const char *html = cli_value(args, "--html");
  pt_preview preview = {0};
  pt_arena *arena = pt_arena_new(0);
  pt_status status = arena ? PT_OK : pt_fail_memory(err, "the reading");
  if (status == PT_OK)
    status = pt__flow_read(path, marks, NULL, html ? 1400 : 0, arena, reading, &preview, err);
  if (status == PT_OK && html) status = write_report(html, reading, &preview, args->style.units, err);
  pt_arena_free(arena);
  return status;
}

/* ---- without the book ---------------------------------------------------------------------------------- */

/* json collects, text is printed behind the last one. */
static pt_status put_reading(const cli_args *args, const pt_photo_reading *reading, json_t *list,
                             pt_text *text, pt_error *err) {
  if (args->json) {
    bool done = json_array_append_new(list, pt_json_reading(reading)) == 0;
    return done ? PT_OK : pt_fail_memory(err, "the JSON result");
  }
  if (text->length) pt_text_add(text, "\n");
  pt_text_reading(reading, &args->style, text);
  return PT_OK;
}

static pt_status print_readings(const cli_args *args, json_t *list, pt_text *text, pt_error *err) {
  if (!args->json) return cli_print_text(text, err);
  if (args->n_words == 1) return cli_print_json(json_incref(json_array_get(list, 0)), err);
  return cli_print_json(json_pack("{s:O}", "readings", list), err);
}

/* Wrong marks are told before any photo is read. */
static pt_status check_marks(const cli_args *args, pt_marks *marks, pt_error *err) {
  pt_status status = PT_OK;
  for (size_t i = 0; i < args->n_words && status == PT_OK; i++)
    status = cli_marks(args, i, args->n_words, marks, err);
  return status;
}

/* Why one of several photos can't be read: with its name, and after what was to be said before. */
static void hold_failure(const char *path, bool earlier, const pt_error *why, pt_error *err) {
  if (earlier) cli_complain(err);
  if (strstr(why->text, path))
    *err = *why;
  else
    pt_fail(err, why->code, "%.80s: %.400s", path, why->text);
}

/* What can be read is reported; each photo that can't gets its sentence, the last of them through err, and
 * the first tells the exit code. */
static pt_status read_all(const cli_args *args, pt_marks *marks, pt_error *err) {
  pt_text text = {0};
  json_t *list = json_array();
  size_t failed = 0;
  pt_photo_reading *reading = malloc(sizeof *reading);
  pt_status first = PT_OK;
  pt_status status = list && reading ? check_marks(args, marks, err) : pt_fail_memory(err, "the reading");
  for (size_t i = 0; i < args->n_words && status == PT_OK; i++) {
    pt_error why;
    status = cli_marks(args, i, args->n_words, marks, err);
    if (status != PT_OK) break;
    pt_status one = read_one(args, args->word[i], marks, reading, &why);
    if (one == PT_OK) {
      status = put_reading(args, reading, list, &text, err);
      continue;
    }
    hold_failure(args->word[i], failed > 0, &why, err);
    if (failed++ == 0) first = one;
  }
  if (status == PT_OK && failed < args->n_words) status = print_readings(args, list, &text, err);
  pt_text_free(&text);
  free(reading);
  json_decref(list);
  return status == PT_OK ? first : status;
}

/* ---- into the book ------------------------------------------------------------------------------------- */

static pt_status read_and_keep(const cli_args *args, pt_marks *marks, pt_error *err) {
  cli_photos photos = {.photo = calloc(args->n_words, sizeof *photos.photo)};
  pt_status status = photos.photo ? cli_read_check(args, err) : pt_fail_memory(err, "the photos");
  for (size_t i = 0; i < args->n_words && status == PT_OK; i++) {
    pt_read_photo *photo = &photos.photo[i];
    status = cli_marks(args, i, args->n_words, marks, err);
    if (status == PT_OK && cli_has(args, "--html"))
      status = read_one(args, args->word[i], marks, &photo->reading, err);
    if (status == PT_OK) status = pt__read_photo(args->word[i], marks, photo, err);
    photos.n = i + 1;
  }
  if (status == PT_OK) status = cli_read_keep(args, &photos, err);
  cli_photos_free(&photos);
  return status;
}

/* A reading takes and gives back a few megabytes many times over; keeping them spares the kernel from
 * clearing the same pages again, a fifth of the time of a large photo. */
static void keep_freed_memory(void) {
  mallopt(M_MMAP_THRESHOLD, 64 << 20);
  mallopt(M_TRIM_THRESHOLD, 64 << 20);
}

static pt_status check_wish(const cli_args *args, bool keep, pt_error *err) {
  pt_status status = cli_words(args, 1, CLI_WORDS_MAX, "a photo", err);
  if (status != PT_OK) return status;
  if (cli_has(args, "--html") && args->n_words > 1)
    return pt_fail(err, PT_USAGE, "--html takes one photo at a time.");
  if (cli_has(args, "--pattern") != cli_has(args, "--batch"))
    return pt_fail(err, PT_USAGE, "To keep readings in the book give both --pattern and --batch.");
  if (!keep && cli_has(args, "--bait"))
    return pt_fail(err, PT_USAGE, "--bait says whose readings are kept; give --pattern and --batch too.");
  if (keep && args->n_words > CLI_PHOTOS_MAX)
    return pt_fail(err, PT_USAGE, "At most %d photos can be kept at once.", CLI_PHOTOS_MAX);
  return PT_OK;
}

static pt_status run(const cli_args *args, pt_error *err) {
  bool keep = cli_has(args, "--batch");
  keep_freed_memory();
  pt_marks *marks = malloc(sizeof *marks);
  pt_status status = marks ? check_wish(args, keep, err) : pt_fail_memory(err, "the marks");
  if (status == PT_OK) status = keep ? read_and_keep(args, marks, err) : read_all(args, marks, err);
  if (status == PT_OK && cli_has(args, "--save-marks"))
    status = save_marks(cli_value(args, "--save-marks"), marks, err);
  free(marks);
  return status;
}

const cli_command cli_read = {
    .name = "read",
    .summary = "read the color of each marked layer of a photo",
    .usage = "PHOTO... [--card X1,Y1,...,X4,Y4] --layer NAME=SHAPE... [--pattern NAME --batch WHEN]",
    .about =
        "Colors are CIELAB, D50, 2 degree observer. A card in the photo, or at least one gray patch, "
        "makes them\n"
        "comparable from photo to photo. Gloss, flake, shadow and clipped pixels are set aside and "
        "reported.\n"
        "Points are photo pixels, after the photo is turned upright.\n"
        "Of several photos those that can be read are reported; each other gets a sentence on stderr, and "
        "the\n"
        "first of them the exit code. What the book is to keep, it keeps of all photos or of none.\n"
        "With --pattern and --batch the readings are kept in the book: photos of one bait with the same "
        "--bait\n"
        "tell how well readings repeat, photos of several baits how much one batch varies.",
    .example = "pourtone read bait.jpg --card 90,80,610,84,606,424,88,420 --layer back=rect:300,520,200x40",
    .options = options,
    .run = run,
};
