#include "app/cli/read.h"
#include "app/cli/find_strips.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    CLI_MARK_OPTIONS,
    CLI_BACK_OPTION,
    CLI_SCALE_OPTIONS,
    CLI_PICTURE_OPTIONS,
    {"--save-marks", "FILE", "keep the marks of this call for another photo"},
    {"--html", "FILE", "write a report with the photo as one HTML file"},
    {"--pattern", "NAME", "keep the readings in the book: whose layers the photos show"},
    {"--batch", "WHEN", "of which batch they are: its name, or the day it was begun, as in 2026-05-01"},
    {"--bait", "N",
     "which bait of the batch a photo shows, of several found in it the first: one for all photos, or one "
     "each; "
     "default 1, several after those of the batch"},
    CLI_SWIRL_OPTION,
    {"--more", NULL, "what the columns mean"},
    CLI_SLAB_GIVEN_OPTIONS,
    {NULL, NULL, NULL},
};

dw_status cli_save_marks(const cli_args *args, const dw_marks *marks, dw_error *err) {
  const char *path = cli_value(args, "--save-marks");
  if (!path) return DW_OK;
  json_t *root = dw_marks_json(marks);
  char *text = root ? dw_json_write(root, JSON_INDENT(2) | JSON_REAL_PRECISION(10)) : NULL;
  json_decref(root);
  if (!text) return dw_fail_memory(err, "the marks");
  dw_text whole = {0};
  dw_text_add(&whole, "%s\n", text);
  free(text);
  return cli_text_file(path, DW_OK, &whole, err);
}

static dw_status write_report(const char *path, const dw_photo_reading *reading, dw_units units,
                              dw_error *err) {
  dw_preview preview;
  dw_html_report report = {.title = "Layers read", .reading = reading, .preview = &preview, .units = units};
  dw_text html = {0};
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? DW_OK : dw_fail_memory(err, "the report");
  if (status == DW_OK) status = cli_preview(reading->path, CLI_REPORT_SIDE, arena, &preview, err);
  if (status == DW_OK) status = dw_html_write(&report, &html, err);
  status = cli_text_file(path, status, &html, err);
  dw_arena_free(arena);
  return status;
}

/* Of photo i, as it was read: report and pictures where they are wanted, and of the last one the marks. */
static dw_status write_files(const cli_args *args, size_t i, const dw_marks *marks,
                             const dw_photo_reading *reading, dw_error *err) {
  const char *html = cli_value(args, "--html");
  dw_status status = html ? write_report(html, reading, args->style.units, err) : DW_OK;
  if (status == DW_OK) status = cli_marked_pictures(args, reading, err);
  return status == DW_OK && i + 1 == args->n_words ? cli_save_marks(args, marks, err) : status;
}

/* ---- without the book ---------------------------------------------------------------------------------- */

dw_status cli_marks_check(const cli_args *args, dw_error *err) {
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status = marks ? DW_OK : dw_fail_memory(err, "the marks");
  for (size_t i = 0; i < args->n_words && status == DW_OK; i++)
    status = cli_marks(args, i, args->n_words, marks, err);
  free(marks);
  return status;
}

static dw_status report(const cli_args *args, const dw_photo_reading *reading, cli_photo_result *out,
                        dw_error *err) {
  if (!args->json) {
    dw_text_reading(reading, &args->style, &out->text);
    return out->text.failed ? dw_fail_memory(err, "the reading") : DW_OK;
  }
  out->json = dw_json_reading(reading);
  return out->json ? DW_OK : dw_fail_memory(err, "the JSON result");
}

static dw_status read_marked(void *context, size_t i, cli_photo_result *out, dw_error *err) {
  const cli_args *args = context;
  dw_marks *marks = malloc(sizeof *marks);
  dw_photo_reading *reading = malloc(sizeof *reading);
  dw_status status = marks && reading ? DW_OK : dw_fail_memory(err, "the reading");
  if (status == DW_OK) status = cli_marks(args, i, args->n_words, marks, err);
  if (status == DW_OK) out->remarked = cli_card_missing(args, args->word[i], marks, &out->remark);
  if (status == DW_OK) status = dw_flow_read(args->word[i], marks, NULL, 0, NULL, reading, NULL, err);
  if (status == DW_OK) status = report(args, reading, out, err);
  if (status == DW_OK) status = write_files(args, i, marks, reading, err);
  free(marks);
  free(reading);
  return cli_name_photo(args->word[i], status, err);
}

static dw_status read_all(const cli_args *args, dw_error *err) {
  dw_status status = cli_marks_check(args, err);
  return status == DW_OK ? cli_report_photos(args, read_marked, (void *)args, err) : status;
}

/* ---- into the book ------------------------------------------------------------------------------------- */

/* Photos that are read several at a time, each for itself before they are joined. */
typedef struct keeping {
  const cli_args *args;
  const dw_find_wish *wish; /* what is found, or the swirl that is marked; NULL: by the marks */
  bool found;               /* no layer is marked */
  cli_photos *part;
  cli_photo_result *of;
} keeping;

static dw_status add_marked(const cli_args *args, size_t i, const dw_find_wish *wish, cli_photos *photos,
                            cli_photo_result *out, dw_error *err) {
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status = marks ? cli_marks(args, i, args->n_words, marks, err) : dw_fail_memory(err, "the marks");
  if (status == DW_OK) out->remarked = cli_card_missing(args, args->word[i], marks, &out->remark);
  if (status == DW_OK) status = cli_photos_add(args->word[i], marks, wish, photos, err);
  if (status == DW_OK) status = write_files(args, i, marks, &photos->photo[0].reading, err);
  free(marks);
  return status;
}

static dw_status add_found(const keeping *k, size_t i, dw_error *err) {
  dw_find_wish wish = *k->wish;
  dw_marks *light = malloc(sizeof *light);
  wish.light = light;
  dw_status status =
      light ? cli_marks(k->args, i, k->args->n_words, light, err) : dw_fail_memory(err, "the marks");
  if (status == DW_OK) status = cli_photos_find(k->args, k->args->word[i], &wish, &k->part[i], err);
  free(light);
  return status;
}

static void read_part(void *context, size_t i) {
  const keeping *k = context;
  cli_photo_result *of = &k->of[i];
  of->status =
      k->found ? add_found(k, i, &of->err) : add_marked(k->args, i, k->wish, &k->part[i], of, &of->err);
}

/* All photos, or the first failure in their order. */
static dw_status read_parts(const cli_args *args, const dw_find_wish *wish, bool found, cli_photos *photos,
                            dw_error *err) {
  size_t n = args->n_words, jobs = 1;
  keeping k = {args, wish, found, calloc(n, sizeof *k.part), calloc(n, sizeof *k.of)};
  dw_status status = k.part && k.of ? cli_jobs(args, &jobs, err) : dw_fail_memory(err, "the photos");
  if (status == DW_OK) cli_each_photo(n, jobs, read_part, &k);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    if (k.of[i].remarked) cli_complain(&k.of[i].remark);
    status = k.of[i].status;
    if (status != DW_OK) *err = k.of[i].err;
    if (status == DW_OK) status = cli_photos_join(&k.part[i], photos, err);
  }
  for (size_t i = 0; k.part && i < n; i++) cli_photos_free(&k.part[i]);
  free(k.part);
  free(k.of);
  return status;
}

static dw_status swirl_wished(const cli_args *args, const dw_pattern *pattern, dw_error *err) {
  if (!pattern->swirl && cli_has(args, "--swirl"))
    return dw_fail(err, DW_USAGE, "\"%s\" is no swirl: dropwise pattern swirl \"%s\" any makes it one.",
                   cli_value(args, "--pattern"), cli_value(args, "--pattern"));
  if (!pattern->swirl) return DW_OK;
  dw_status status = cli_swirl_files_check(args, err);
  return status == DW_OK ? cli_swirl_colors(args, pattern, err) : status;
}

/* Found baits have the layers of the pattern; those of a swirl are its colors, marked or found. */
static dw_status read_and_keep(const cli_args *args, bool found, dw_error *err) {
  cli_photos photos = {0};
  dw_pattern pattern = {0};
  dw_find_wish wish;
  dw_status status = cli_read_check(args, err);
  if (status == DW_OK) status = cli_find_pattern(args, cli_value(args, "--pattern"), &pattern, err);
  if (status == DW_OK) status = swirl_wished(args, &pattern, err);
  if (status == DW_OK) status = cli_marks_check(args, err);
  if (status == DW_OK && pattern.n) status = cli_find_wish(args, &pattern, &wish, err);
  if (status == DW_OK) status = read_parts(args, pattern.n ? &wish : NULL, found, &photos, err);
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
  status = cli_find_files_check(args, err);
  if (status != DW_OK) return status;
  if (cli_has(args, "--pattern") != cli_has(args, "--batch"))
    return dw_fail(err, DW_USAGE, "To keep readings in the book give both --pattern and --batch.");
  if (!keep && cli_has(args, "--bait"))
    return dw_fail(err, DW_USAGE, "--bait says whose readings are kept; give --pattern and --batch too.");
  if (keep && args->n_words > CLI_PHOTOS_MAX)
    return dw_fail(err, DW_USAGE, "At most %d photos can be kept at once.", CLI_PHOTOS_MAX);
  return DW_OK;
}

static dw_status run(const cli_args *args, dw_error *err) {
  bool keep = cli_has(args, "--batch"), searched = false;
  keep_freed_memory();
  dw_status status = cli_has(args, "--swirl") ? cli_scale_refuse(args, err) : DW_OK;
  if (status == DW_OK && cli_has(args, "--swirl") && !keep) return cli_find_swirl(args, err);
  if (status == DW_OK) status = check_wish(args, keep, err);
  if (status == DW_OK) status = cli_searched(args, &searched, err);
  if (status == DW_OK && (keep || !searched)) status = cli_scale_refuse(args, err);
  if (status != DW_OK) return status;
  if (keep) return read_and_keep(args, searched, err);
  return searched ? cli_find_all(args, err) : read_all(args, err);
}

const cli_command cli_read = {
    .name = "read",
    .summary = "read the color of each layer of a photo, marked or found",
    .usage = "PHOTO... [--card X1,Y1,...,X4,Y4] [--layer NAME=SHAPE...] [--pattern NAME --batch WHEN]",
    .about =
        "Colors are CIELAB, D50, 2 degree observer. A card in the photo, or at least one gray patch, "
        "makes them\n"
        "comparable from photo to photo. Where neither is marked, the card (--card-set) is looked for; where "
        "no layer\n"
        "is marked, every bait on the board, too, as dropwise find does. Gloss, flake, shadow and clipped "
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
    .settings = true,
};
