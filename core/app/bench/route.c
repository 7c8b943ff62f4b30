/* The fixed table of addresses. Nothing that a client sends is ever part of a path in the file system. */
#include "app/bench/server.h"

#include <stdlib.h>
#include <string.h>

const dw__route dw__routes[] = {
    {"GET", "/api/state", DW__TAKES_NOTHING, false, dw__state_get},
    {"POST", "/api/pair", DW__TAKES_JSON, true, dw__pair_post},
    {"POST", "/api/photos", DW__TAKES_PHOTO, false, dw__photo_post},
    {"GET", "/api/photos/SHA", DW__TAKES_NOTHING, false, dw__photo_get},
    {"POST", "/api/samples/NAME", DW__TAKES_JSON, false, dw__sample_post},
    {"DELETE", "/api/samples/NAME", DW__TAKES_JSON, false, dw__sample_delete},
    {"GET", "/api/settings", DW__TAKES_NOTHING, false, dw__settings_get},
    {"PATCH", "/api/settings", DW__TAKES_JSON, false, dw__settings_patch},
    {"GET", "/api/history", DW__TAKES_NOTHING, false, dw__history_get},
    {"GET", "/api/backup", DW__TAKES_NOTHING, false, dw__backup_get},
    {"GET", "/api/photos/SHA/preview", DW__TAKES_NOTHING, false, dw__preview_get},
    {"GET", "/api/photos/SHA/crop", DW__TAKES_NOTHING, false, dw__crop_get},
    {"POST", "/api/photos/SHA/find", DW__TAKES_JSON, false, dw__find_post},
    {"POST", "/api/photos/SHA/swirl", DW__TAKES_JSON, false, dw__swirl_post},
    {"POST", "/api/turn", DW__TAKES_JSON, false, dw__turn_post},
    {"POST", "/api/photos/SHA/card", DW__TAKES_JSON, false, dw__card_post},
    {"POST", "/api/photos/SHA/sheet", DW__TAKES_JSON, false, dw__sheet_post},
    {"POST", "/api/photos/SHA/light", DW__TAKES_JSON, false, dw__light_post},
    {"POST", "/api/photos/SHA/measure", DW__TAKES_JSON, false, dw__measure_post},
    {"POST", "/api/advise", DW__TAKES_JSON, false, dw__advise_post},
    {"PATCH", "/api/plugins/PLUGIN", DW__TAKES_JSON, false, dw__plugin_patch},
    {"POST", "/api/predict", DW__TAKES_JSON, false, dw__predict_post},
    {"POST", "/api/work", DW__TAKES_JSON, false, dw__work_post},
    {"GET", "/api/work/ID", DW__TAKES_NOTHING, false, dw__work_get},
    {"PATCH", "/api/work/ID", DW__TAKES_JSON, false, dw__work_patch},
    {"DELETE", "/api/work/ID", DW__TAKES_JSON, false, dw__work_delete},
    {"POST", "/api/undo", DW__TAKES_JSON, false, dw__undo_post},
    {"POST", "/api/redo", DW__TAKES_JSON, false, dw__redo_post},
    {"POST", "/api/work/ID/cup", DW__TAKES_JSON, false, dw__work_cup_post},
    {"POST", "/api/work/ID/pour", DW__TAKES_JSON, false, dw__work_pour_post},
    {"POST", "/api/work/ID/heat", DW__TAKES_JSON, false, dw__work_heat_post},
    {"POST", "/api/work/ID/measured", DW__TAKES_JSON, false, dw__work_measured_post},
    {"POST", "/api/work/ID/drizzled", DW__TAKES_JSON, false, dw__work_drizzled_post},
    {"POST", "/api/work/ID/finish", DW__TAKES_JSON, false, dw__work_finish_post},
    {"POST", "/api/patterns", DW__TAKES_JSON, false, dw__pattern_post},
    {"PATCH", "/api/patterns/ID", DW__TAKES_JSON, false, dw__pattern_patch},
    {"DELETE", "/api/patterns/ID", DW__TAKES_JSON, false, dw__pattern_delete},
    {"POST", "/api/patterns/ID/targets", DW__TAKES_JSON, false, dw__target_post},
    {"GET", "/api/patterns/ID/targets", DW__TAKES_NOTHING, false, dw__target_get},
    {"GET", "/api/patterns/ID/drift", DW__TAKES_NOTHING, false, dw__drift_get},
    {"GET", "/api/batches/ID", DW__TAKES_NOTHING, false, dw__batch_get},
    {"PATCH", "/api/batches/ID", DW__TAKES_JSON, false, dw__batch_patch},
    {"POST", "/api/shelf", DW__TAKES_JSON, false, dw__bottle_post},
    {"PATCH", "/api/shelf/BOTTLE", DW__TAKES_JSON, false, dw__bottle_patch},
    {"DELETE", "/api/shelf/BOTTLE", DW__TAKES_JSON, false, dw__bottle_delete},
    {"POST", "/api/shelf/BOTTLE/lot", DW__TAKES_JSON, false, dw__lot_post},
    {"POST", "/api/chips", DW__TAKES_JSON, false, dw__chips_post},
    {"GET", "/api/chips", DW__TAKES_NOTHING, false, dw__chips_get},
    {"PATCH", "/api/chips/ID", DW__TAKES_JSON, false, dw__chip_patch},
    {"DELETE", "/api/chips/ID", DW__TAKES_JSON, false, dw__chip_delete},
    {"POST", "/api/fit", DW__TAKES_JSON, false, dw__fit_post},
    {"POST", "/api/blend", DW__TAKES_JSON, false, dw__blend_post},
    {"POST", "/api/plan", DW__TAKES_JSON, false, dw__plan_post},
    {"GET", "/api/molds", DW__TAKES_NOTHING, false, dw__molds_get},
    {"POST", "/api/molds", DW__TAKES_JSON, false, dw__mold_post},
    {"DELETE", "/api/molds", DW__TAKES_JSON, false, dw__mold_delete},
    {"GET", "/sheet/ID", DW__TAKES_NOTHING, false, dw__sheet_get},
    {"GET", "/sheet/style.css", DW__TAKES_NOTHING, true, dw__sheet_style_get},
};
const size_t dw__route_count = sizeof dw__routes / sizeof *dw__routes;

static bool all_of(const char *text, size_t n, const char *set) {
  for (size_t i = 0; i < n; i++)
    if (!strchr(set, text[i])) return false;
  return true;
}

typedef struct kind {
  const char *name;
  size_t min, max;
  const char *set;
} kind;

#define DIGITS "0123456789"
#define NAME_SET DIGITS "abcdefghijklmnopqrstuvwxyz-_"
static const kind kinds[] = {{"SHA", 64, 64, DIGITS "abcdef"},
                             {"ID", 1, 15, DIGITS},
                             {"BOTTLE", 1, DW_ID_ROOM - 1, NAME_SET},
                             {"PLUGIN", 1, DW_ID_ROOM - 1, NAME_SET},
                             {"NAME", 1, 40, NAME_SET}};

static const kind *kind_named(const char *text, size_t n) {
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
    if (strlen(kinds[i].name) == n && strncmp(kinds[i].name, text, n) == 0) return &kinds[i];
  return NULL;
}

static bool path_fits(const char *pattern, const char *path, char parts[][DW__PART_ROOM]) {
  size_t n_parts = 0;
  while (*pattern == '/' && *path == '/') {
    size_t want = strcspn(++pattern, "/"), have = strcspn(++path, "/");
    const kind *k = kind_named(pattern, want);
    if (k) {
      if (have < k->min || have > k->max || !all_of(path, have, k->set)) return false;
      memcpy(parts[n_parts], path, have);
      parts[n_parts++][have] = '\0';
    } else if (want != have || strncmp(pattern, path, want) != 0) {
      return false;
    }
    pattern += want;
    path += have;
  }
  return !*pattern && !*path;
}

const dw__route *dw__route_find(const char *method, const char *path, char parts[][DW__PART_ROOM],
                                char *allowed, size_t room) {
  size_t used = 0;
  allowed[0] = '\0';
  for (size_t i = 0; i < dw__route_count; i++) {
    const dw__route *route = &dw__routes[i];
    if (!path_fits(route->path, path, parts)) continue;
    bool head = strcmp(method, "HEAD") == 0 && strcmp(route->method, "GET") == 0;
    if (head || strcmp(method, route->method) == 0) return route;
    used += (size_t)snprintf(allowed + used, room - used, "%s%s", used ? ", " : "", route->method);
  }
  return NULL;
}

int64_t dw__id(const dw__exchange *x, size_t part) {
  return strtoll(x->part[part], NULL, 10);
}

static int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  c = (char)(c | 0x20);
  return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

bool dw__query(const dw__exchange *x, const char *name, char *out, size_t room) {
  const char *value = MHD_lookup_connection_value(x->mhd, MHD_GET_ARGUMENT_KIND, name);
  size_t n = 0;
  if (!value) return false;
  for (; *value && n + 1 < room; value++) {
    int high, low;
    out[n] = *value;
    if (*value == '%') {
      if ((high = hex_digit(value[1])) < 0 || (low = hex_digit(value[2])) < 0) return false;
      out[n] = (char)(16 * high + low);
      value += 2;
    }
    if ((unsigned char)out[n++] < ' ') return false;
  }
  out[n] = '\0';
  return !*value;
}

dw_status dw__query_int(const dw__exchange *x, const char *name, int min, int max, int fallback, int *out,
                        dw_error *err) {
  char text[16];
  double value;
  *out = fallback;
  if (!MHD_lookup_connection_value(x->mhd, MHD_GET_ARGUMENT_KIND, name)) return DW_OK;
  if (!dw__query(x, name, text, sizeof text) || !dw_parse_number_in(text, min, max, &value))
    return dw_fail(err, DW_USAGE, "\"%s\" in the address must be a number from %d to %d.", name, min, max);
  *out = (int)value;
  return DW_OK;
}
