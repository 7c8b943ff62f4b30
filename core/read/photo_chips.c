/* Chips from a photo, as the text that dw_chips_parse reads. */
#include "dropwise/read.h"

#include <string.h>

enum { CHIP_TEXT_ROOM = 256 };

/* One chip as text. */
typedef struct chip_words {
  char recipe[CHIP_TEXT_ROOM], over[32];
  double thickness_mm;
} chip_words;

static bool parts(char c) {
  return c == ';' || c == ',';
}

/* "orange 4,brown 2", or with ';' between, to "orange=4,brown=2"; "clear" to "". */
static bool recipe_of_name(const char *name, size_t length, char *out, size_t room) {
  if (length >= room) return false;
  memcpy(out, name, length);
  out[length] = '\0';
  if (strcmp(out, "clear") == 0) {
    out[0] = '\0';
    return true;
  }
  bool open = false; /* behind a bottle's name, before its drops */
  for (char *p = out; *p; p++) {
    if (*p == ' ' && p > out && !parts(p[-1]) && !open) {
      *p = '=';
      open = true;
    } else if (parts(*p)) {
      if (!open) return false;
      open = false;
    }
  }
  return open;
}

static bool words_of_name(const char *name, chip_words *out) {
  static const char over[] = " over ";
  const char *at = strstr(name, over);
  if (!at || !recipe_of_name(name, (size_t)(at - name), out->recipe, sizeof out->recipe)) return false;
  return dw_copy_text(out->over, sizeof out->over, at + sizeof over - 1) && *out->over;
}

static const json_t *mark_of(const json_t *marks, const char *name) {
  size_t i;
  json_t *layer;
  json_array_foreach(json_object_get(marks, "layers"), i, layer) {
    const char *own = json_string_value(json_object_get(layer, "name"));
    if (own && strcmp(own, name) == 0) return layer;
  }
  return NULL;
}

/* What the marks file says goes before the name. */
static bool words_of(const json_t *marks, const char *name, double thickness_mm, chip_words *out) {
  const json_t *mark = mark_of(marks, name), *thickness = json_object_get(mark, "thickness_mm");
  const char *recipe = json_string_value(json_object_get(mark, "recipe"));
  const json_t *over = json_object_get(mark, "over");
  bool named = words_of_name(name, out);
  out->thickness_mm = json_is_number(thickness) ? json_number_value(thickness) : thickness_mm;
  if (recipe && !dw_copy_text(out->recipe, sizeof out->recipe, recipe)) return false;
  if (json_is_string(over) && !dw_copy_text(out->over, sizeof out->over, json_string_value(over)))
    return false;
  if (json_is_number(over)) snprintf(out->over, sizeof out->over, "%.6g", json_number_value(over));
  return named || (recipe && over);
}

/* RFC 4180: quoted, quotes doubled. */
static void put_cell(const char *cell, dw_text *out) {
  dw_text_put(out, "\"", 1);
  for (const char *p = cell; *p; p++) {
    if (*p == '"') dw_text_put(out, "\"", 1);
    dw_text_put(out, p, 1);
  }
  dw_text_put(out, "\",", 2);
}

dw_status dw_chips_text(const dw_photo_reading *reading, const json_t *marks, double thickness_mm,
                        dw_text *out, dw_error *err) {
  dw_status status = DW_OK;
  dw_text_add(out, "recipe,thickness_mm,over,L,a,b,clipped\n");
  for (size_t i = 0; i < reading->n && status == DW_OK; i++) {
    const dw_layer_reading *layer = &reading->layer[i];
    chip_words words;
    if (!words_of(marks, layer->name, thickness_mm, &words)) {
      status = dw_fail(
          err, DW_BAD_INPUT,
          "%s: \"%s\" does not say which chip it is; name it as in \"orange 2 over black\", or give the "
          "marks \"recipe\", \"thickness_mm\" and \"over\".",
          reading->path, layer->name);
      break;
    }
    put_cell(words.recipe, out);
    dw_text_add(out, "%.6g,", words.thickness_mm);
    put_cell(words.over, out);
    dw_text_add(out, "%.4f,%.4f,%.4f,%d\n", layer->reading.lab.L, layer->reading.lab.a, layer->reading.lab.b,
                layer->reading.shares.clipped > DW_CHIP_CLIPPED_SHARE);
  }
  return status;
}
