/* A mold as it stands on the bench, from above, with the injector before its sprue.
 *
 * All is drawn as for a sprue that faces toward the person: the injector below, its chambers side by side and
 * numbered from the left, the baits above it, their layers in the same order. The whole is then turned to how the mold stands.
 * Seen along the injector left stays left, so turning keeps the order right; text is set upright afterwards. */
#include "dropwise/report_plan.h"
#include "report/html.h"

#include <math.h>

/* Units of the drawing; its middle is the origin while it is turned. */
enum {
  SIDE = 330,
  MOLD_WIDE = 250,
  MOLD_TOP = -154,
  MOLD_BOTTOM = 42,
  RUNNER = 16,
  SPRUE_END = 62,
  INJECTOR_END = 154,
  INJECTOR_WIDE = 150,
  BAITS_MOST = 5,
  BAIT_HIGH = 142,
  BODY_POINTS = 9
};

typedef struct mold_drawing {
  const dw_mold *mold;
  const char *const *layers;
  const dw_lab *const *color;
  size_t n, layer[DW_PLAN_LAYERS_MAX]; /* by chamber, from the left */
  double cos, sin;                     /* of the turn */
} mold_drawing;

typedef struct box {
  double x, y, w, h;
} box;

/* ---- turned ------------------------------------------------------------------------------------------------
 */

static double turned_x(const mold_drawing *d, double x, double y) {
  return SIDE / 2.0 + d->cos * x - d->sin * y;
}
static double turned_y(const mold_drawing *d, double x, double y) {
  return SIDE / 2.0 + d->sin * x + d->cos * y;
}

static void put_box(const mold_drawing *d, box b, const char *attributes, dw_text *out) {
  const double x0 = turned_x(d, b.x, b.y), y0 = turned_y(d, b.x, b.y);
  const double x1 = turned_x(d, b.x + b.w, b.y + b.h), y1 = turned_y(d, b.x + b.w, b.y + b.h);
  dw_text_add(out, "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" %s", fmin(x0, x1),
              fmin(y0, y1), fabs(x1 - x0), fabs(y1 - y0), attributes);
}

static void put_text(const mold_drawing *d, double x, double y, double size, dw_text *out) {
  dw_text_add(out,
              "<text x=\"%.1f\" y=\"%.1f\" font-size=\"%.0f\" text-anchor=\"middle\" fill=\"currentColor\">",
              turned_x(d, x, y), turned_y(d, x, y) + 0.35 * size, size);
}

static void put_fill(const mold_drawing *d, size_t layer, dw_text *out) {
  if (d->color[layer])
    dw__html_color(*d->color[layer], out);
  else
    dw_text_add(out, "none");
}

/* ---- its parts ---------------------------------------------------------------------------------------------
 */

static double chamber_x(const mold_drawing *d, double i) {
  return INJECTOR_WIDE * (i / (double)d->n - 0.5);
}

/* Half the width of a bait along it, of the widest; the head lies at the runner. */
static const double body[BODY_POINTS] = {0.62, 0.34, 0.36, 0.56, 0.76, 0.92, 1, 0.9, 0.36};

static void put_point(const mold_drawing *d, double x, double half, double across, size_t k, dw_text *out) {
  const double y = MOLD_TOP + 18 + BAIT_HIGH * (double)k / (BODY_POINTS - 1);
  const double at = x + half * body[k] * across;
  dw_text_add(out, "%.1f,%.1f ", turned_x(d, at, y), turned_y(d, at, y));
}

/* One layer of a bait: what lies between two lines along its body, each -1 at the left edge to 1. */
static void put_stripe(const mold_drawing *d, double x, double half, size_t i, dw_text *out) {
  const double left = 2.0 * (double)i / (double)d->n - 1, right = left + 2.0 / (double)d->n;
  dw_text_add(out, "<polygon points=\"");
  for (size_t k = 0; k < BODY_POINTS; k++) put_point(d, x, half, left, k, out);
  for (size_t k = BODY_POINTS; k-- > 0;) put_point(d, x, half, right, k, out);
  dw_text_add(out, "\" stroke=\"currentColor\" stroke-opacity=\".45\" fill=\"");
  put_fill(d, d->layer[i], out);
  dw_text_add(out, "\"/>");
}

/* The cavities beside each other, a few of them where there are many, each with a line along its back. */
static void put_baits(const mold_drawing *d, dw_text *out) {
  const int n = d->mold->cavities < BAITS_MOST ? d->mold->cavities : BAITS_MOST;
  const double pitch = (MOLD_WIDE - 24.0) / n, half = fmin(28, pitch / 2 - 6);
  const double back = d->layer[0] == 0 ? -1 : 1;
  for (int j = 0; j < n; j++) {
    const double x = -MOLD_WIDE / 2.0 + 12 + (j + 0.5) * pitch;
    for (size_t i = 0; i < d->n; i++) put_stripe(d, x, half, i, out);
    dw_text_add(out, "<polyline fill=\"none\" stroke=\"currentColor\" stroke-width=\"4\" points=\"");
    for (size_t k = 0; k < BODY_POINTS; k++) put_point(d, x, half, back, k, out);
    dw_text_add(out, "\"/>");
  }
  put_text(d, back * (MOLD_WIDE / 2.0 + 14), (MOLD_TOP + MOLD_BOTTOM) / 2.0, 17, out);
  dw_text_add(out, "B</text>");
}

static void put_channels(const mold_drawing *d, dw_text *out) {
  static const char ink[] = "fill=\"currentColor\" fill-opacity=\".22\"/>";
  put_box(d, (box){-MOLD_WIDE / 2.0 + 24, RUNNER, MOLD_WIDE - 48, 10}, ink, out);
  put_box(d, (box){-9, RUNNER + 10, 18, SPRUE_END - RUNNER - 10}, ink, out);
}

static void put_mold(const mold_drawing *d, dw_text *out) {
  put_box(d, (box){-MOLD_WIDE / 2.0, MOLD_TOP, MOLD_WIDE, MOLD_BOTTOM - MOLD_TOP},
          "rx=\"6\" fill=\"currentColor\" fill-opacity=\".06\" stroke=\"currentColor\" stroke-width=\"2\"/>",
          out);
  put_channels(d, out);
  put_baits(d, out);
}

/* The chambers, and behind each its number. */
static void put_injector(const mold_drawing *d, dw_text *out) {
  for (size_t i = 0; i < d->n; i++) {
    const double x = chamber_x(d, (double)i), w = chamber_x(d, (double)i + 1) - x;
    put_box(d, (box){x, SPRUE_END, w, INJECTOR_END - SPRUE_END - 24},
            "stroke=\"currentColor\" stroke-opacity=\".45\" fill=\"", out);
    put_fill(d, d->layer[i], out);
    dw_text_add(out, "\"/>");
    put_text(d, x + w / 2, INJECTOR_END - 10, 17, out);
    dw_text_add(out, "%zu</text>", i + 1);
  }
}

static void put_title(const mold_drawing *d, dw_text *out) {
  dw_text_add(out, "<title>");
  dw_text_html(out, d->mold->name);
  dw_text_add(out, " from above, the sprue %s, the backs %s; chambers", dw_side_name(d->mold->sprue),
              dw_side_name(d->mold->back));
  for (size_t i = 0; i < d->n; i++) {
    dw_text_add(out, "%s %zu ", i ? "," : "", i + 1);
    dw_text_html(out, d->layers[d->layer[i]]);
  }
  dw_text_add(out, "</title>");
}

void dw_svg_mold(const dw_mold *mold, const char *const *layers, const dw_lab *const *color, size_t n,
                 dw_text *out) {
  /* Where the sprue is turned to: down, up, left, right. */
  static const double cosine[] = {1, -1, 0, 0}, sine[] = {0, 0, 1, -1};
  mold_drawing d = {.mold = mold, .layers = layers, .color = color, .n = n};
  if (dw_mold_chambers(mold, n, d.layer, NULL) != DW_OK) return;
  d.cos = cosine[mold->sprue];
  d.sin = sine[mold->sprue];
  dw_text_add(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\">", SIDE,
              SIDE);
  put_title(&d, out);
  put_mold(&d, out);
  put_injector(&d, out);
  dw_text_add(out, "</svg>");
}
