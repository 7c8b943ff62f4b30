/* A travel beside one that was read before: the target's, or another batch's. */
#include "dropwise/read_turn.h"

#include <math.h>
#include <string.h>

enum { FILE_MAX = 16 << 20 };
/* Two travels differ where so many deviations lie between them. */
#define APART_TIMES 2.0

static const json_t *layer_named(const json_t *root, const char *name) {
  const json_t *layers = json_object_get(root, "layers");
  for (size_t i = 0; i < json_array_size(layers); i++) {
    const json_t *layer = json_array_get(layers, i);
    const char *own = json_string_value(json_object_get(layer, "name"));
    if (own && strcmp(own, name) == 0) return json_object_get(layer, "travel");
  }
  return NULL;
}

void dw_travel_compare(double de00, double doubt_de00, const char *other, dw_travel_against *out) {
  if (!(out->de00 >= 0) || !(out->doubt_de00 >= 0) || !(de00 >= 0)) {
    *out = (dw_travel_against){.de00 = NAN, .doubt_de00 = NAN, .more_de00 = NAN, .more_doubt_de00 = NAN};
    dw_copy_text(out->words, sizeof out->words, "One of the two has no travel to compare.");
    return;
  }
  out->known = true;
  out->more_de00 = de00 - out->de00;
  out->more_doubt_de00 = hypot(doubt_de00, out->doubt_de00);
  out->apart = fabs(out->more_de00) > APART_TIMES * out->more_doubt_de00;
  if (out->apart)
    snprintf(out->words, sizeof out->words, "It travels %s than %s, by %.1f (doubt %.1f).",
             out->more_de00 > 0 ? "more" : "less", other, fabs(out->more_de00), out->more_doubt_de00);
  else
    snprintf(out->words, sizeof out->words,
             "It travels as much as %s (%.1f), within what these photos can tell (doubt %.1f).", other,
             out->de00, out->more_doubt_de00);
}

static void judge(const dw_travel *travel, dw_travel_against *out) {
  dw_travel_compare(travel->verdict == DW_TRAVEL_UNCLEAR ? NAN : travel->de00, travel->doubt_de00,
                    "the other", out);
}

static double number_of(const json_t *travel, const char *key) {
  const json_t *value = json_object_get(travel, key);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

dw_status dw_turn_against(const dw_turn *turn, const char *path, dw_travel_against *out, dw_error *err) {
  json_t *root = NULL;
  dw_status status = dw_json_load(path, FILE_MAX, &root, err);
  for (size_t i = 0; status == DW_OK && i < turn->n; i++) {
    const json_t *travel = layer_named(root, turn->layer[i].name);
    if (!json_is_object(travel)) {
      status = dw_fail(err, DW_BAD_INPUT,
                       "%s holds no travel of a layer \"%s\"; give what dropwise turn --json printed.", path,
                       turn->layer[i].name);
      break;
    }
    out[i] =
        (dw_travel_against){.de00 = number_of(travel, "de00"), .doubt_de00 = number_of(travel, "doubt_de00")};
    judge(&turn->layer[i].travel, &out[i]);
  }
  json_decref(root);
  return status;
}
