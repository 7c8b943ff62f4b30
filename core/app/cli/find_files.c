/* Files of what was marked or found in one photo: picture, report, marks. */
#include "app/cli/finding.h"
#include "dropwise/report_found.h"

#include <stdlib.h>

enum { PICTURE_SIDE = 1800 };

dw_status cli_preview(const char *path, int side, dw_arena *arena, dw_preview *out, dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw_photo_open(path, NULL, &photo, err);
  if (status == DW_OK) status = dw_photo_preview(photo, side, arena, out, err);
  dw_photo_close(photo);
  return status;
}

/* What is drawn over the photo: what was found in it, or what was marked. */
typedef struct drawing {
  const dw_photo_reading *reading;
  const dw_found *found; /* NULL: the marks */
  const dw_find_wish *wish;
} drawing;

static dw_status picture_save(const char *file, const drawing *what, dw_arena *arena, dw_error *err) {
  dw_preview picture;
  uint8_t *png = NULL;
  size_t n = 0;
  dw_status status = cli_preview(what->reading->path, PICTURE_SIDE, arena, &picture, err);
  if (status != DW_OK) return status;
  if (what->found)
    dw_draw_found(what->found, what->wish, &picture);
  else
    dw_draw_reading(what->reading, &picture);
  status = dw_preview_png(&picture, &png, &n, err);
  if (status == DW_OK) status = dw_file_write(file, png, n, err);
  free(png);
  return status;
}

static dw_status svg_save(const char *file, const drawing *what, const dw_preview *preview, dw_error *err) {
  dw_text text = {0};
  dw_status status = what->found ? dw_svg_found_photo(what->found, what->wish, preview, &text, err)
                                 : dw_svg_reading_photo(what->reading, preview, &text, err);
  return cli_text_file(file, status, &text, err);
}

static dw_status html_save(const char *file, const drawing *what, const dw_preview *preview, dw_error *err) {
  dw_text text = {0};
  return cli_text_file(file, dw_html_found(what->found, what->wish, preview, &text, err), &text, err);
}

static dw_status marks_save(const cli_args *args, const dw_find_wish *wish, const dw_found *found,
                            dw_error *err) {
  dw_marks *marks = malloc(sizeof *marks);
  if (!marks) return dw_fail_memory(err, "the marks");
  dw_found_marks(found, wish, marks);
  dw_status status = cli_save_marks(args, marks, err);
  free(marks);
  return status;
}

/* Marks that were made by hand may hold for several photos. */
dw_status cli_find_files_check(const cli_args *args, dw_error *err) {
  static const char *const file_options[] = {"--picture", "--svg", "--html", "--save-marks"};
  bool searched;
  dw_status status = cli_searched(args, &searched, err);
  size_t n = sizeof file_options / sizeof *file_options - !searched;
  for (size_t i = 0; i < n && args->n_words > 1 && status == DW_OK; i++)
    if (cli_has(args, file_options[i]))
      status = dw_fail(err, DW_USAGE, "%s takes one photo at a time.", file_options[i]);
  return status;
}

/* --picture, --svg and of what was found --html. */
static dw_status drawing_save(const cli_args *args, const drawing *what, dw_arena *arena, dw_error *err) {
  const char *picture = cli_value(args, "--picture"), *svg = cli_value(args, "--svg"),
             *html = what->found ? cli_value(args, "--html") : NULL;
  dw_preview preview;
  dw_status status = picture ? picture_save(picture, what, arena, err) : DW_OK;
  if (status == DW_OK && (svg || html))
    status = cli_preview(what->reading->path, CLI_REPORT_SIDE, arena, &preview, err);
  if (status == DW_OK && svg) status = svg_save(svg, what, &preview, err);
  return status == DW_OK && html ? html_save(html, what, &preview, err) : status;
}

dw_status cli_find_files(const cli_args *args, const dw_find_wish *wish, const dw_found *found,
                         dw_arena *arena, dw_error *err) {
  dw_status status = drawing_save(args, &(drawing){&found->reading, found, wish}, arena, err);
  return status == DW_OK && cli_has(args, "--save-marks") ? marks_save(args, wish, found, err) : status;
}

dw_status cli_marked_pictures(const cli_args *args, const dw_photo_reading *reading, dw_error *err) {
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? DW_OK : dw_fail_memory(err, "the picture");
  if (status == DW_OK) status = drawing_save(args, &(drawing){reading, NULL, NULL}, arena, err);
  dw_arena_free(arena);
  return status;
}
