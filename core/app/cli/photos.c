/* Photos given on the command line, read with their marks. */
#include "app/cli/book.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static pt_status set_region(const cli_args *args, const char *layer, pt_marks *marks, pt_error *err) {
  const char *region = cli_value(args, "--region");
  if (!region) return PT_OK;
  if (!layer) return pt_fail(err, PT_USAGE, "--region marks one layer; say which one.");
  pt_text mark = {0};
  pt_text_add(&mark, "%s=%s", layer, region);
  pt_status status =
      mark.failed ? pt_fail_memory(err, "the region") : pt__marks_add_layer(marks, mark.data, err);
  pt_text_free(&mark);
  return status;
}

/* The marks of photo i of n: its own file, or the one for all, and the options over it. */
static pt_status marks_of(const cli_args *args, size_t i, size_t n, const char *layer, pt_marks *out,
                          pt_error *err) {
  const char *file;
  pt_status status = cli_each(args, "--marks", i, n, "photos", &file, err);
  if (status == PT_OK) status = cli_marks_from(args, file, out, err);
  if (status == PT_OK) status = set_region(args, layer, out, err);
  if (status == PT_OK && out->n == 0)
    status =
        pt_fail(err, PT_USAGE, "No layer is marked; give --marks FILE%s.", layer ? " or --region SHAPE" : "");
  return status;
}

pt_status cli_photos_read(const cli_args *args, const char *layer, cli_photos *out, pt_error *err) {
  *out = (cli_photos){0};
  size_t n = cli_count(args, "--photo"), at = 0;
  if (n > CLI_PHOTOS_MAX)
    return pt_fail(err, PT_USAGE, "At most %d photos can be read at once.", CLI_PHOTOS_MAX);
  pt_marks *marks = malloc(sizeof *marks);
  out->photo = calloc(n + 1, sizeof *out->photo);
  pt_status status = marks && out->photo ? PT_OK : pt_fail_memory(err, "the photos");
  for (size_t i = 0; i < n && status == PT_OK; i++) {
    const char *path = cli_next(args, "--photo", &at);
    status = marks_of(args, i, n, layer, marks, err);
    if (status == PT_OK) status = pt__read_photo(path, marks, &out->photo[i], err);
    out->n = i + 1;
  }
  free(marks);
  return status;
}

void cli_photos_free(cli_photos *photos) {
  for (size_t i = 0; i < photos->n; i++) pt__read_photo_free(&photos->photo[i]);
  free(photos->photo);
  *photos = (cli_photos){0};
}

pt_status cli_photos_mean(const cli_photos *photos, const char *layer, pt_reading *mean, double *spread_de00,
                          pt_error *err) {
  pt_reading *each = calloc(photos->n + 1, sizeof *each);
  pt_status status = each ? PT_OK : pt_fail_memory(err, "the readings");
  for (size_t i = 0; i < photos->n && status == PT_OK; i++) {
    const pt_layer_reading *found = pt__read_photo_layer(&photos->photo[i], layer);
    if (found)
      each[i] = found->reading;
    else
      status = pt__read_photo_lacks(&photos->photo[i], layer, err);
  }
  if (status == PT_OK) status = pt_reading_mean(each, photos->n, mean, err);
  double squares = 0;
  for (size_t i = 0; i < photos->n && status == PT_OK; i++) {
    double away = pt_de00(mean->lab, each[i].lab);
    squares += away * away;
  }
  if (status == PT_OK) *spread_de00 = photos->n > 1 ? sqrt(squares / (double)(photos->n - 1)) : 0;
  free(each);
  return status;
}
