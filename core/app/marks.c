#include "app/marks.h"

#include "app/json_file.h"

#include <string.h>

#define GRAY_Y_DEFAULT 0.18 /* the usual gray card; common practice, no source */

pt_status pt__marks_set_card(pt_marks *marks, const char *set, pt_error *err) {
  if (!pt_copy_text(marks->card_set, sizeof marks->card_set, set))
    return pt_fail(err, PT_USAGE, "The card file's name is too long.");
  const pt_card *known = pt_card_named(set);
  if (!known) return pt_card_load(set, &marks->card, err);
  marks->card = *known;
  return PT_OK;
}

static pt_status add_layer(pt_marks *marks, const char *name, size_t length, const char *shape,
                           pt_error *err) {
  if (marks->n == PT_READ_LAYERS_MAX)
    return pt_fail(err, PT_USAGE, "A photo may have at most %d marked layers.", PT_READ_LAYERS_MAX);
  pt_mark *mark = &marks->layer[marks->n];
  if (length == 0 || length >= sizeof mark->name)
    return pt_fail(err, PT_USAGE, "A layer's name needs 1 to %zu bytes: \"%.60s\".", sizeof mark->name - 1,
                   name);
  memcpy(mark->name, name, length);
  mark->name[length] = '\0';
  for (size_t i = 0; i < marks->n; i++)
    if (strcmp(marks->layer[i].name, mark->name) == 0)
      return pt_fail(err, PT_USAGE, "The layer \"%s\" is marked twice; give each its own name.", mark->name);
  pt_status status = pt_shape_parse(shape, &mark->shape, err);
  if (status == PT_OK) marks->n++;
  return status;
}

pt_status pt__marks_add_layer(pt_marks *marks, const char *text, pt_error *err) {
  const char *equals = strchr(text, '=');
  if (!equals)
    return pt_fail(err, PT_USAGE,
                   "\"%.80s\" is not a layer: write NAME=SHAPE, as in belly=rect:100,200,80x40.", text);
  return add_layer(marks, text, (size_t)(equals - text), equals + 1, err);
}

static pt_status read_card(const json_t *card, const char *name, pt_marks *out, pt_error *err) {
  const char *set = json_string_value(json_object_get(card, "set"));
  const json_t *corners = json_object_get(card, "corners");
  if (json_array_size(corners) != 8)
    return pt_fail(err, PT_BAD_INPUT, "%s: \"card\" needs \"corners\", eight numbers.", name);
  for (size_t i = 0; i < 8; i++) {
    const json_t *number = json_array_get(corners, i);
    if (!json_is_number(number))
      return pt_fail(err, PT_BAD_INPUT, "%s: a corner of the card is not a number.", name);
    out->corners.xy[i] = json_number_value(number);
  }
  out->method = PT_LIGHT_CARD;
  return pt__marks_set_card(out, set ? set : "grid24", err);
}

static pt_status read_gray(const json_t *gray, const char *name, pt_marks *out, pt_error *err) {
  const char *shape = json_string_value(json_object_get(gray, "shape"));
  const json_t *y = json_object_get(gray, "y");
  if (!shape) return pt_fail(err, PT_BAD_INPUT, "%s: \"gray\" needs a \"shape\".", name);
  out->method = PT_LIGHT_GRAY;
  out->gray_y = json_is_number(y) ? json_number_value(y) : GRAY_Y_DEFAULT;
  if (!(out->gray_y > 0 && out->gray_y <= 1))
    return pt_fail(err, PT_BAD_INPUT, "%s: the gray's \"y\" must lie between 0 and 1.", name);
  return pt_shape_parse(shape, &out->gray, err);
}

pt_status pt__marks_from_json(const json_t *root, const char *name, pt_marks *out, pt_error *err) {
  *out = (pt_marks){.gray_y = GRAY_Y_DEFAULT};
  if (!json_is_object(root))
    return pt_fail(err, PT_BAD_INPUT, "%s is not a marks file: it holds no JSON object.", name);
  const json_t *card = json_object_get(root, "card"), *gray = json_object_get(root, "gray");
  pt_status status = PT_OK;
  if (json_is_object(card))
    status = read_card(card, name, out, err);
  else if (json_is_object(gray))
    status = read_gray(gray, name, out, err);
  size_t i;
  json_t *layer;
  json_array_foreach(json_object_get(root, "layers"), i, layer) {
    if (status != PT_OK) return status;
    const char *title = json_string_value(json_object_get(layer, "name"));
    const char *shape = json_string_value(json_object_get(layer, "shape"));
    if (!title || !shape)
      return pt_fail(err, PT_BAD_INPUT, "%s: layer %zu needs a \"name\" and a \"shape\".", name, i + 1);
    status = add_layer(out, title, strlen(title), shape, err);
  }
  return status;
}

pt_status pt__marks_load(const char *path, pt_marks *out, pt_error *err) {
  json_t *root = NULL;
  pt_status status = pt__json_load(path, PT_MARKS_FILE_MAX, &root, err);
  if (status == PT_OK) status = pt__marks_from_json(root, path, out, err);
  json_decref(root);
  return status;
}

json_t *pt__marks_json(const pt_marks *marks) {
  char shape[16384];
  json_t *root = json_object(), *layers = json_array();
  if (marks->method == PT_LIGHT_CARD) {
    json_t *corners = json_array();
    for (size_t i = 0; i < 8; i++) json_array_append_new(corners, pt_json_round(marks->corners.xy[i], 2));
    json_object_set_new(root, "card", json_pack("{s:s, s:o}", "set", marks->card_set, "corners", corners));
  } else if (marks->method == PT_LIGHT_GRAY) {
    pt_shape_format(&marks->gray, shape, sizeof shape);
    json_object_set_new(root, "gray", json_pack("{s:s, s:f}", "shape", shape, "y", marks->gray_y));
  }
  for (size_t i = 0; i < marks->n; i++) {
    pt_shape_format(&marks->layer[i].shape, shape, sizeof shape);
    json_array_append_new(layers, json_pack("{s:s, s:s}", "name", marks->layer[i].name, "shape", shape));
  }
  json_object_set_new(root, "layers", layers);
  return root;
}
