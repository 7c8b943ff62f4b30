/* Photos given on the command line, read with their marks. */
#include "app/cli/book.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static dw_status set_region(const cli_args *args, const char *layer, dw_marks *marks, dw_error *err) {
  const char *region = cli_value(args, "--region");
  if (!region) return DW_OK;
  if (!layer) return dw_fail(err, DW_USAGE, "--region marks one layer; say which one.");
  dw_text mark = {0};
  dw_text_add(&mark, "%s=%s", layer, region);
  dw_status status =
      mark.failed ? dw_fail_memory(err, "the region") : dw_marks_add_layer(marks, mark.data, err);
  dw_text_free(&mark);
  return status;
}

/* The marks of photo i of n: its own file, or the one for all, and the options over it. */
static dw_status marks_of(const cli_args *args, size_t i, size_t n, const char *layer, dw_marks *out,
                          dw_error *err) {
  const char *file;
  dw_status status = cli_each(args, "--marks", i, n, "photos", &file, err);
  if (status == DW_OK) status = cli_marks_from(args, file, out, err);
  if (status == DW_OK) status = set_region(args, layer, out, err);
  if (status == DW_OK && out->n == 0)
    status =
        dw_fail(err, DW_USAGE, "No layer is marked; give --marks FILE%s.", layer ? " or --region SHAPE" : "");
  return status;
}

dw_status cli_photos_read(const cli_args *args, const char *layer, cli_photos *out, dw_error *err) {
  *out = (cli_photos){0};
  size_t n = cli_count(args, "--photo"), at = 0;
  if (n > CLI_PHOTOS_MAX)
    return dw_fail(err, DW_USAGE, "At most %d photos can be read at once.", CLI_PHOTOS_MAX);
  dw_marks *marks = malloc(sizeof *marks);
  out->photo = calloc(n + 1, sizeof *out->photo);
  dw_status status = marks && out->photo ? DW_OK : dw_fail_memory(err, "the photos");
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    const char *path = cli_next(args, "--photo", &at);
    status = marks_of(args, i, n, layer, marks, err);
    if (status == DW_OK) cli_card_search(args, path, marks);
    if (status == DW_OK) status = dw_photo_read(path, marks, &out->photo[i], err);
    out->n = i + 1;
  }
  free(marks);
  return status;
}

void cli_photos_free(cli_photos *photos) {
  for (size_t i = 0; i < photos->n; i++) dw_read_photo_free(&photos->photo[i]);
  free(photos->photo);
  *photos = (cli_photos){0};
}

dw_status cli_photos_mean(const cli_photos *photos, const char *layer, dw_reading *mean, double *spread_de00,
                          dw_error *err) {
  dw_reading *each = calloc(photos->n + 1, sizeof *each);
  dw_status status = each ? DW_OK : dw_fail_memory(err, "the readings");
  for (size_t i = 0; i < photos->n && status == DW_OK; i++) {
    const dw_layer_reading *found = dw_read_photo_layer(&photos->photo[i], layer);
    if (found)
      each[i] = found->reading;
    else
      status = dw_read_photo_lacks(&photos->photo[i], layer, err);
  }
  if (status == DW_OK) status = dw_reading_mean(each, photos->n, mean, err);
  double squares = 0;
  for (size_t i = 0; i < photos->n && status == DW_OK; i++) {
    double away = dw_de00(mean->lab, each[i].lab);
    squares += away * away;
  }
  if (status == DW_OK) *spread_de00 = photos->n > 1 ? sqrt(squares / (double)(photos->n - 1)) : 0;
  free(each);
  return status;
}
