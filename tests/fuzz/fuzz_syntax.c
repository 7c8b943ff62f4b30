/* Each line as everything that is typed: recipe, shape, mark, row of chips, volume, temperature, backing, numbers,
 * setting. What is written back reads the same again. */
#include "fuzz.h"

#include "dropwise/book_settings.h"
#include "dropwise/read_chips.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void try_recipe(const char *text, const dw_shelf *shelf) {
  dw_recipe recipe, again;
  dw_error err;
  char written[1024], rewritten[1024];
  if (!promised(dw_recipe_parse(text, shelf, &recipe, &err), &err)) return;
  dw_recipe_format(&recipe, shelf, written, sizeof written);
  promise(dw_recipe_parse(written, shelf, &again, &err) == DW_OK, "a written recipe can be read");
  dw_recipe_format(&again, shelf, rewritten, sizeof rewritten);
  promise(strcmp(written, rewritten) == 0, "and is the same");
}

static void try_shape(const char *text) {
  static const dw_photo_info photo = {.width = 640, .height = 480, .stored_width = 640, .stored_height = 480};
  static dw_shape shape, again;
  static char written[DW_SHAPE_TEXT_MAX];
  static uint8_t mask[640 * 480];
  dw_error err;
  dw_rect box;
  if (!promised(dw_shape_parse(text, &shape, &err), &err)) return;
  dw_shape_format(&shape, written, sizeof written);
  promise(written[0] && dw_shape_parse(written, &again, &err) == DW_OK, "a written shape can be read");
  if (!promised(dw_shape_bounds(&shape, &photo, &box, &err), &err)) return;
  promise(box.x >= 0 && box.y >= 0 && box.w > 0 && box.h > 0 && box.x + box.w <= 640 && box.y + box.h <= 480,
          "a shape's box lies in the photo");
  if (box.w * box.h <= 4096) dw_shape_mask(&shape, &box, mask);
}

static void try_mark(const char *text) {
  static dw_marks marks;
  dw_error err;
  marks.n = 0;
  if (promised(dw_marks_add_layer(&marks, text, &err), &err)) promise(marks.n == 1, "one mark more");
}

static void try_row(const char *text) {
  dw_chip_row row;
  dw_error err;
  if (!promised(dw_chip_row_parse(text, &row, &err), &err)) return;
  promise(row.n >= 1 && row.n <= DW_CHIP_COLUMNS_MAX, "a row has chips");
}

static void try_numbers(const char *text) {
  double value, three[3];
  dw_units units = DW_UNITS_US;
  dw_error err;
  if (dw_parse_volume(text, &units, &value)) promise(isfinite(value), "a volume is a number");
  if (dw_parse_temperature(text, &units, &value)) promise(isfinite(value), "a temperature is a number");
  if (promised(dw_backing_parse(text, &value, &err), &err))
    promise(value >= 0 && value <= 1, "a reflectance");
  if (dw_parse_numbers(text, 3, three))
    promise(isfinite(three[0]) && isfinite(three[1]) && isfinite(three[2]), "three numbers");
}

static void try_setting(const char *text) {
  static dw_settings settings;
  char unwanted[DW_UNWANTED_ROOM];
  dw_error err;
  for (size_t i = 0; i < DW_SETTINGS_COUNT; i++)
    promised(dw_setting_parse(dw_setting_name(i), text, &settings, &err), &err);
  dw_unwanted_parse(text, unwanted);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_shelf *shelf;
  dw_error err;
  char *text = fuzz_text(bytes, n), *rest = text, *line;
  if (!shelf) promise(dw_shelf_starter(&shelf, &err) == DW_OK, "memory");
  while ((line = strsep(&rest, "\n"))) {
    try_recipe(line, shelf);
    try_shape(line);
    try_mark(line);
    try_row(line);
    try_numbers(line);
    try_setting(line);
  }
  free(text);
  return 0;
}
