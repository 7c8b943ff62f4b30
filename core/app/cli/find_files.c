/* Files of what was found in one photo: picture, report, marks. */
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

static dw_status picture_save(const char *file, const dw_found *found, dw_arena *arena, dw_error *err) {
  dw_preview picture;
  uint8_t *png = NULL;
  size_t n = 0;
  dw_status status = cli_preview(found->reading.path, PICTURE_SIDE, arena, &picture, err);
  if (status != DW_OK) return status;
  dw_draw_found(found, &picture);
  status = dw_preview_png(&picture, &png, &n, err);
  if (status == DW_OK) status = dw_file_write(file, png, n, err);
  free(png);
  return status;
}

/* A text made of what was found and the photo. */
typedef dw_status text_of(const dw_found *found, const dw_preview *preview, dw_text *out, dw_error *err);

static dw_status text_save(const char *file, text_of *write, const dw_found *found, const dw_preview *preview,
                           dw_error *err) {
  dw_text text = {0};
  dw_status status = write(found, preview, &text, err);
  if (status == DW_OK) status = dw_file_write(file, text.data, text.length, err);
  dw_text_free(&text);
  return status;
}

static dw_status marks_save(const cli_args *args, const dw_find_wish *wish, const dw_found *found,
                            dw_error *err) {
  dw_marks *marks = malloc(sizeof *marks);
  if (!marks) return dw_fail_memory(err, "the marks");
  dw_found_marks(found, wish->card_set, marks);
  dw_status status = cli_save_marks(args, marks, err);
  free(marks);
  return status;
}

static const char *const file_options[] = {"--picture", "--svg", "--html", "--save-marks"};

dw_status cli_find_files_check(const cli_args *args, dw_error *err) {
  for (size_t i = 0; i < sizeof file_options / sizeof *file_options && args->n_words > 1; i++)
    if (cli_has(args, file_options[i]))
      return dw_fail(err, DW_USAGE, "%s takes one photo at a time.", file_options[i]);
  return DW_OK;
}

dw_status cli_find_files(const cli_args *args, const dw_find_wish *wish, const dw_found *found,
                         dw_arena *arena, dw_error *err) {
  const char *picture = cli_value(args, "--picture"), *svg = cli_value(args, "--svg"),
             *html = cli_value(args, "--html");
  dw_preview preview;
  dw_status status = picture ? picture_save(picture, found, arena, err) : DW_OK;
  if (status == DW_OK && (svg || html))
    status = cli_preview(found->reading.path, CLI_REPORT_SIDE, arena, &preview, err);
  if (status == DW_OK && svg) status = text_save(svg, dw_svg_found_photo, found, &preview, err);
  if (status == DW_OK && html) status = text_save(html, dw_html_found, found, &preview, err);
  return status == DW_OK && cli_has(args, "--save-marks") ? marks_save(args, wish, found, err) : status;
}
