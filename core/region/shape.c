/* Shapes as text: parse and format. */
#include "dropwise/region.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* Beyond any photo within the limits (65,535 a side in JPEG), and safe in an int. */
#define COORDINATE_MAX 1.0e7

enum { QUOTE_MAX = 60 };

/* The text at fault, short and printable whatever it was. */
typedef struct quote {
  char text[QUOTE_MAX + 4];
} quote;

static quote quote_of(const char *text) {
  quote out = {{0}};
  size_t n = 0;
  for (; n < QUOTE_MAX && text[n]; n++) out.text[n] = (isprint((unsigned char)text[n]) != 0) ? text[n] : '?';
  if (text[n]) memcpy(out.text + n, "...", 4);
  return out;
}

static const char *skip_blanks(const char *p) {
  while (*p == ' ' || *p == '\t') p++;
  return p;
}

/* Reads n numbers parted by the given characters (seps[i] follows number i); NULL when they are not there. */
static const char *numbers_read(const char *p, size_t n, const char *seps, double *out) {
  for (size_t i = 0; i < n; i++) {
    if (i > 0 && *p++ != seps[i - 1]) return NULL;
    if (!dw_parse_number(skip_blanks(p), &p, &out[i])) return NULL;
    p = skip_blanks(p);
  }
  return p;
}

static bool in_range(const double *xy, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (!(fabs(xy[i]) <= COORDINATE_MAX)) return false;
  return true;
}

static dw_status range_fail(const char *text, dw_error *err) {
  return dw_fail(err, DW_USAGE,
                 "The shape '%s' has a coordinate beyond any photo; give photo pixels between -10000000 and "
                 "10000000.",
                 quote_of(text).text);
}

static dw_status rect_parse(const char *text, const char *body, dw_shape *out, dw_error *err) {
  const char *end = numbers_read(body, 4, ",,x", out->xy);
  if (!end || *end)
    return dw_fail(err, DW_USAGE,
                   "The rectangle '%s' is not understood; write rect:X,Y,WxH, as in rect:120,80,60x40.",
                   quote_of(text).text);
  if (!in_range(out->xy, 4)) return range_fail(text, err);
  if (out->xy[2] <= 0 || out->xy[3] <= 0)
    return dw_fail(err, DW_USAGE, "The rectangle '%s' has no area; its width and height must be above 0.",
                   quote_of(text).text);
  return DW_OK;
}

static dw_status ellipse_parse(const char *text, const char *body, dw_shape *out, dw_error *err) {
  const char *end = numbers_read(body, 4, ",,x", out->xy);
  if (!end || *end)
    return dw_fail(
        err, DW_USAGE,
        "The ellipse '%s' is not understood; write ellipse:CX,CY,RXxRY, as in ellipse:150,100,30x20.",
        quote_of(text).text);
  if (!in_range(out->xy, 4)) return range_fail(text, err);
  if (out->xy[2] <= 0 || out->xy[3] <= 0)
    return dw_fail(err, DW_USAGE, "The ellipse '%s' has no area; both radii must be above 0.",
                   quote_of(text).text);
  return DW_OK;
}

/* All points on one line (or all the same) enclose nothing. */
static bool on_one_line(const double *xy, size_t n) {
  size_t far = 0;
  double reach = 0;
  for (size_t i = 1; i < n; i++) {
    double d = hypot(xy[2 * i] - xy[0], xy[2 * i + 1] - xy[1]);
    if (d > reach) {
      reach = d;
      far = i;
    }
  }
  double dx = xy[2 * far] - xy[0], dy = xy[2 * far + 1] - xy[1];
  for (size_t i = 1; i < n; i++) {
    double cross = dx * (xy[2 * i + 1] - xy[1]) - dy * (xy[2 * i] - xy[0]);
    if (fabs(cross) > 1e-9 * reach * reach) return false;
  }
  return true;
}

static dw_status poly_parse(const char *text, const char *body, dw_shape *out, dw_error *err) {
  const char *p = body;
  for (out->n = 0;; p++) {
    if (out->n == DW_SHAPE_POINTS_MAX)
      return dw_fail(err, DW_USAGE, "The polygon '%s' has more than %d points; leave some out.",
                     quote_of(text).text, DW_SHAPE_POINTS_MAX);
    p = numbers_read(p, 2, ",", out->xy + 2 * out->n);
    if (!p || (*p && *p != ';'))
      return dw_fail(err, DW_USAGE,
                     "Point %zu of the polygon '%s' is not understood; write poly:X,Y;X,Y;X,Y, as in "
                     "poly:10,10;90,15;50,70.",
                     out->n + 1, quote_of(text).text);
    out->n++;
    if (!*p) break;
  }
  if (!in_range(out->xy, 2 * out->n)) return range_fail(text, err);
  if (out->n < 3)
    return dw_fail(err, DW_USAGE, "The polygon '%s' has fewer than 3 points; mark at least three corners.",
                   quote_of(text).text);
  if (on_one_line(out->xy, out->n))
    return dw_fail(err, DW_USAGE, "The polygon '%s' has no area: all its points lie on one line.",
                   quote_of(text).text);
  return DW_OK;
}

dw_status dw_shape_parse(const char *text, dw_shape *out, dw_error *err) {
  static const struct {
    const char *prefix;
    dw_shape_kind kind;
    dw_status (*parse)(const char *text, const char *body, dw_shape *out, dw_error *err);
  } kinds[] = {{"rect:", DW_SHAPE_RECT, rect_parse},
               {"ellipse:", DW_SHAPE_ELLIPSE, ellipse_parse},
               {"poly:", DW_SHAPE_POLY, poly_parse}};
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
    size_t n = strlen(kinds[i].prefix);
    if (strncmp(text, kinds[i].prefix, n) != 0) continue;
    dw_shape shape = {.kind = kinds[i].kind};
    dw_status status = kinds[i].parse(text, text + n, &shape, err);
    if (status == DW_OK) *out = shape;
    return status;
  }
  return dw_fail(err, DW_USAGE,
                 "The shape '%s' is not understood; write rect:X,Y,WxH or ellipse:CX,CY,RXxRY or "
                 "poly:X,Y;X,Y;X,Y.",
                 quote_of(text).text);
}

static void poly_format(const dw_shape *shape, char *out, size_t room) {
  size_t used = (size_t)snprintf(out, room, "poly:");
  for (size_t i = 0; i < shape->n && used < room; i++)
    used += (size_t)snprintf(out + used, room - used, "%s%.10g,%.10g", i ? ";" : "", shape->xy[2 * i],
                             shape->xy[2 * i + 1]);
  if (used >= room) out[0] = '\0';
}

void dw_shape_format(const dw_shape *shape, char *out, size_t room) {
  if (room == 0) return;
  if (shape->kind == DW_SHAPE_POLY) {
    poly_format(shape, out, room);
    return;
  }
  int n = snprintf(out, room, "%s:%.10g,%.10g,%.10gx%.10g", shape->kind == DW_SHAPE_RECT ? "rect" : "ellipse",
                   shape->xy[0], shape->xy[1], shape->xy[2], shape->xy[3]);
  if (n < 0 || (size_t)n >= room) out[0] = '\0';
}
