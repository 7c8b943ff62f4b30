#include "dropwise/read.h"

#include <string.h>

dw_status dw_marks_set_card(dw_marks *marks, const char *set, dw_error *err) {
  if (!dw_copy_text(marks->card_set, sizeof marks->card_set, set))
    return dw_fail(err, DW_USAGE, "The card file's name is too long.");
  const dw_card *known = dw_card_named(set);
  if (!known) return dw_card_load(set, &marks->card, err);
  marks->card = *known;
  return DW_OK;
}

static dw_status add_layer(dw_marks *marks, const char *name, size_t length, const char *shape,
                           dw_error *err) {
  if (marks->n == DW_READ_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "A photo may have at most %d marked layers.", DW_READ_LAYERS_MAX);
  dw_mark *mark = &marks->layer[marks->n];
  if (length == 0 || length >= sizeof mark->name)
    return dw_fail(err, DW_USAGE, "A layer's name needs 1 to %zu bytes: \"%.60s\".", sizeof mark->name - 1,
                   name);
  memcpy(mark->name, name, length);
  mark->name[length] = '\0';
  if (!dw_utf8_plain(mark->name))
    return dw_fail(err, DW_USAGE, "The layer's name \"%s\" is not UTF-8 or holds a control character.",
                   mark->name);
  for (size_t i = 0; i < marks->n; i++)
    if (strcmp(marks->layer[i].name, mark->name) == 0)
      return dw_fail(err, DW_USAGE, "The layer \"%s\" is marked twice; give each its own name.", mark->name);
  dw_status status = dw_shape_parse(shape, &mark->shape, err);
  if (status == DW_OK) marks->n++;
  return status;
}

dw_status dw_marks_add_layer(dw_marks *marks, const char *text, dw_error *err) {
  const char *equals = strchr(text, '=');
  if (!equals)
    return dw_fail(err, DW_USAGE,
                   "\"%.80s\" is not a layer: write NAME=SHAPE, as in belly=rect:100,200,80x40.", text);
  return add_layer(marks, text, (size_t)(equals - text), equals + 1, err);
}

/* A sentence about one mark, with the file it stands in. */
static dw_status in_file(const char *name, dw_status status, dw_error *err) {
  dw_error why;
  if (status == DW_OK || !err) return status;
  why = *err;
  return dw_fail(err, status, "%s: %s", name, why.text);
}

static dw_status read_card(const json_t *card, const char *name, const char *instead, dw_marks *out,
                           dw_error *err) {
  const json_t *set = json_object_get(card, "set"), *corners = json_object_get(card, "corners");
  if (!json_is_object(card))
    return dw_fail(err, DW_BAD_INPUT, "%s: \"card\" must be an object with \"corners\".", name);
  if (set && !json_is_string(set))
    return dw_fail(err, DW_BAD_INPUT, "%s: the card's \"set\" must be a text: grid24 or a CGATS file.", name);
  if (json_array_size(corners) != 8)
    return dw_fail(err, DW_BAD_INPUT, "%s: \"card\" needs \"corners\", eight numbers.", name);
  for (size_t i = 0; i < 8; i++) {
    const json_t *number = json_array_get(corners, i);
    if (!json_is_number(number))
      return dw_fail(err, DW_BAD_INPUT, "%s: a corner of the card is not a number.", name);
    out->corners.xy[i] = json_number_value(number);
  }
  out->method = DW_LIGHT_CARD;
  if (!instead) instead = set ? json_string_value(set) : DW_CARD_USUAL;
  return dw_marks_set_card(out, instead, err);
}

static dw_status read_gray(const json_t *gray, const char *name, dw_marks *out, dw_error *err) {
  const char *shape = json_string_value(json_object_get(gray, "shape"));
  const json_t *y = json_object_get(gray, "y");
  if (!json_is_object(gray) || !shape)
    return dw_fail(err, DW_BAD_INPUT, "%s: \"gray\" must be an object with a \"shape\".", name);
  out->method = DW_LIGHT_GRAY;
  out->gray_y = y ? json_number_value(y) : DW_GRAY_Y_DEFAULT;
  if (!(out->gray_y > 0 && out->gray_y <= 1))
    return dw_fail(err, DW_BAD_INPUT, "%s: the gray's \"y\" must be a number between 0 and 1.", name);
  return in_file(name, dw_shape_parse(shape, &out->gray, err), err);
}

/* A key whose value is null is as good as absent. */
static const json_t *value_of(const json_t *root, const char *key) {
  const json_t *value = json_object_get(root, key);
  return json_is_null(value) ? NULL : value;
}

static dw_status read_light(const json_t *root, const char *name, const char *set, dw_marks *out,
                            dw_error *err) {
  const json_t *card = value_of(root, "card"), *gray = value_of(root, "gray");
  if (card && gray)
    return dw_fail(err, DW_BAD_INPUT, "%s has both a \"card\" and a \"gray\"; leave one of them out.", name);
  if (card) return read_card(card, name, set, out, err);
  return gray ? read_gray(gray, name, out, err) : DW_OK;
}

void dw_marks_begin(dw_marks *out) {
  memset(out, 0, sizeof *out);
  out->gray_y = DW_GRAY_Y_DEFAULT;
}

dw_status dw_marks_from_json(const json_t *root, const char *name, const char *set, dw_marks *out,
                             dw_error *err) {
  dw_marks_begin(out);
  if (!json_is_object(root))
    return dw_fail(err, DW_BAD_INPUT, "%s is not a marks file: it holds no JSON object.", name);
  const json_t *layers = value_of(root, "layers");
  if (layers && !json_is_array(layers))
    return dw_fail(err, DW_BAD_INPUT, "%s: \"layers\" must be an array.", name);
  dw_status status = read_light(root, name, set, out, err);
  size_t i;
  json_t *layer;
  json_array_foreach(layers, i, layer) {
    if (status != DW_OK) return status;
    const char *title = json_string_value(json_object_get(layer, "name"));
    const char *shape = json_string_value(json_object_get(layer, "shape"));
    if (!title || !shape)
      return dw_fail(err, DW_BAD_INPUT, "%s: layer %zu needs a \"name\" and a \"shape\".", name, i + 1);
    status = in_file(name, add_layer(out, title, strlen(title), shape, err), err);
  }
  return status;
}

json_t *dw_marks_json(const dw_marks *marks) {
  json_t *root = json_object(), *layers = json_array();
  if (marks->method == DW_LIGHT_CARD) {
    root = dw_json_with(root, "card",
                        json_pack("{s:o, s:o}", "set", dw_json_text(marks->card_set), "corners",
                                  dw_json_corners(&marks->corners)));
  } else if (marks->method == DW_LIGHT_GRAY) {
    root = dw_json_with(root, "gray",
                        json_pack("{s:o, s:f}", "shape", dw_json_shape(&marks->gray), "y", marks->gray_y));
  }
  for (size_t i = 0; i < marks->n; i++)
    layers = dw_json_and(layers, json_pack("{s:s, s:o}", "name", marks->layer[i].name, "shape",
                                           dw_json_shape(&marks->layer[i].shape)));
  return dw_json_with(root, "layers", layers);
}
