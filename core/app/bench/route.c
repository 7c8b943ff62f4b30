/* The fixed table of addresses. Nothing that a client sends is ever part of a path in the file system. */
#include "app/bench/server.h"

#include <stdlib.h>
#include <string.h>

const pt__route pt__routes[] = {
    {"GET", "/api/state", PT__TAKES_NOTHING, false, pt__state_get},
    {"POST", "/api/pair", PT__TAKES_JSON, true, pt__pair_post},
    {"POST", "/api/photos", PT__TAKES_PHOTO, false, pt__photo_post},
    {"GET", "/api/photos/SHA", PT__TAKES_NOTHING, false, pt__photo_get},
    {"POST", "/api/samples/NAME", PT__TAKES_JSON, false, pt__sample_post},
    {"GET", "/api/photos/SHA/preview", PT__TAKES_NOTHING, false, pt__preview_get},
    {"GET", "/api/photos/SHA/crop", PT__TAKES_NOTHING, false, pt__crop_get},
    {"POST", "/api/photos/SHA/light", PT__TAKES_JSON, false, pt__light_post},
    {"POST", "/api/photos/SHA/measure", PT__TAKES_JSON, false, pt__measure_post},
    {"POST", "/api/advise", PT__TAKES_JSON, false, pt__advise_post},
    {"POST", "/api/predict", PT__TAKES_JSON, false, pt__predict_post},
    {"POST", "/api/work", PT__TAKES_JSON, false, pt__work_post},
    {"GET", "/api/work/ID", PT__TAKES_NOTHING, false, pt__work_get},
    {"PATCH", "/api/work/ID", PT__TAKES_JSON, false, pt__work_patch},
    {"DELETE", "/api/work/ID", PT__TAKES_JSON, false, pt__work_delete},
    {"POST", "/api/work/ID/undo", PT__TAKES_JSON, false, pt__work_undo_post},
    {"POST", "/api/work/ID/pour", PT__TAKES_JSON, false, pt__work_pour_post},
    {"POST", "/api/work/ID/measured", PT__TAKES_JSON, false, pt__work_measured_post},
    {"POST", "/api/work/ID/finish", PT__TAKES_JSON, false, pt__work_finish_post},
    {"POST", "/api/patterns", PT__TAKES_JSON, false, pt__pattern_post},
    {"PATCH", "/api/patterns/ID", PT__TAKES_JSON, false, pt__pattern_patch},
    {"DELETE", "/api/patterns/ID", PT__TAKES_JSON, false, pt__pattern_delete},
    {"POST", "/api/patterns/ID/targets", PT__TAKES_JSON, false, pt__target_post},
    {"GET", "/api/patterns/ID/targets", PT__TAKES_NOTHING, false, pt__target_get},
    {"GET", "/api/patterns/ID/drift", PT__TAKES_NOTHING, false, pt__drift_get},
    {"GET", "/api/batches/ID", PT__TAKES_NOTHING, false, pt__batch_get},
    {"PATCH", "/api/batches/ID", PT__TAKES_JSON, false, pt__batch_patch},
    {"POST", "/api/shelf", PT__TAKES_JSON, false, pt__bottle_post},
    {"PATCH", "/api/shelf/BOTTLE", PT__TAKES_JSON, false, pt__bottle_patch},
    {"DELETE", "/api/shelf/BOTTLE", PT__TAKES_JSON, false, pt__bottle_delete},
    {"POST", "/api/shelf/BOTTLE/lot", PT__TAKES_JSON, false, pt__lot_post},
    {"POST", "/api/chips", PT__TAKES_JSON, false, pt__chips_post},
    {"POST", "/api/fit", PT__TAKES_JSON, false, pt__fit_post},
    {"GET", "/sheet/ID", PT__TAKES_NOTHING, false, pt__sheet_get},
    {"GET", "/sheet/style.css", PT__TAKES_NOTHING, true, pt__sheet_style_get},
};
const size_t pt__route_count = sizeof pt__routes / sizeof *pt__routes;

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
                             {"BOTTLE", 1, PT_ID_ROOM - 1, NAME_SET},
                             {"NAME", 1, 40, NAME_SET}};

static const kind *kind_named(const char *text, size_t n) {
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
    if (strlen(kinds[i].name) == n && strncmp(kinds[i].name, text, n) == 0) return &kinds[i];
  return NULL;
}

static bool path_fits(const char *pattern, const char *path, char parts[][PT__PART_ROOM]) {
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

const pt__route *pt__route_find(const char *method, const char *path, char parts[][PT__PART_ROOM],
                                char *allowed, size_t room) {
  size_t used = 0;
  allowed[0] = '\0';
  for (size_t i = 0; i < pt__route_count; i++) {
    const pt__route *route = &pt__routes[i];
    if (!path_fits(route->path, path, parts)) continue;
    bool head = strcmp(method, "HEAD") == 0 && strcmp(route->method, "GET") == 0;
    if (head || strcmp(method, route->method) == 0) return route;
    used += (size_t)snprintf(allowed + used, room - used, "%s%s", used ? ", " : "", route->method);
  }
  return NULL;
}

int64_t pt__id(const pt__exchange *x, size_t part) {
  return strtoll(x->part[part], NULL, 10);
}

static int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  c = (char)(c | 0x20);
  return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

bool pt__query(const pt__exchange *x, const char *name, char *out, size_t room) {
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

pt_status pt__query_int(const pt__exchange *x, const char *name, int min, int max, int fallback, int *out,
                        pt_error *err) {
  char text[16];
  double value;
  *out = fallback;
  if (!MHD_lookup_connection_value(x->mhd, MHD_GET_ARGUMENT_KIND, name)) return PT_OK;
  if (!pt__query(x, name, text, sizeof text) || !pt_parse_number_in(text, min, max, &value))
    return pt_fail(err, PT_USAGE, "\"%s\" in the address must be a number from %d to %d.", name, min, max);
  *out = (int)value;
  return PT_OK;
}
