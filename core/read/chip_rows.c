/* What a person says lies in a row of chips. */
#include "dropwise/read_chips.h"

#include <stdlib.h>
#include <string.h>

static dw_status row_fail(const char *text, dw_error *err) {
  return dw_fail(
      err, DW_USAGE,
      "--row \"%.80s\" is not a row of chips: write a bottle and its loadings, as in \"orange=0.5,2,8\", "
      "or recipes, as in \"orange=4;brown=2/orange=4;brown=4/clear\".",
      text);
}

/* Room for one more; NULL when the row is full. */
static char *slot(dw_chip_row *row) {
  return row->n < DW_CHIP_COLUMNS_MAX ? row->name[row->n++] : NULL;
}

/* "0.5,2,8" of one bottle. */
static bool loadings_take(const char *bottle, size_t length, const char *list, dw_chip_row *out) {
  while (*list) {
    char *end, *name = slot(out);
    double loading = strtod(list, &end);
    if (!name || end == list || !(loading >= 0 && loading <= 1000) || (*end != ',' && *end)) return false;
    int used = loading > 0 ? snprintf(name, DW_LAYER_NAME_ROOM, "%.*s %.6g", (int)length, bottle, loading)
                           : snprintf(name, DW_LAYER_NAME_ROOM, "clear");
    if (used >= DW_LAYER_NAME_ROOM) return false;
    if (*end && !end[1]) return false;
    list = *end ? end + 1 : end;
  }
  return true;
}

/* "orange=4;brown=2", as a mark's name has it. */
static bool recipe_take(const char *recipe, size_t length, dw_chip_row *out) {
  char *name = slot(out);
  bool clear = length == 5 && strncmp(recipe, "clear", 5) == 0;
  if (!name || length == 0 || length >= DW_LAYER_NAME_ROOM || (!clear && !memchr(recipe, '=', length)))
    return false;
  memcpy(name, recipe, length);
  name[length] = '\0';
  for (char *p = name; *p; p++)
    if (*p == '=') *p = ' ';
  return true;
}

static bool recipes_take(const char *text, dw_chip_row *out) {
  for (;;) {
    size_t length = strcspn(text, "/");
    if (!recipe_take(text, length, out)) return false;
    if (!text[length]) return true;
    text += length + 1;
  }
}

dw_status dw_chip_row_parse(const char *text, dw_chip_row *out, dw_error *err) {
  const char *equals = strchr(text, '=');
  size_t length = equals ? (size_t)(equals - text) : 0;
  *out = (dw_chip_row){0};
  bool recipes = !equals || strpbrk(text, "/;");
  bool good = recipes ? recipes_take(text, out) : length && loadings_take(text, length, equals + 1, out);
  return good && out->n ? DW_OK : row_fail(text, err);
}
