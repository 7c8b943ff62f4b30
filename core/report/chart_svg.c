/* A control chart as SVG: it takes its colors from the page around it. */
#include "report/drift.h"

#include <math.h>

#define WIDTH 720.0
#define HEIGHT 240.0
#define LEFT 44.0
#define RIGHT 40.0
#define TOP 12.0
#define BOTTOM 50.0
#define TICKS_MOST 6  /* numbers up the side */
#define NAMES_MOST 12 /* batches named along the foot */

typedef struct frame {
  double top; /* value at the upper edge */
  size_t n;
} frame;

static double x_of(const frame *f, size_t i) {
  double across = WIDTH - LEFT - RIGHT;
  return LEFT + across * ((double)i + 0.5) / (double)f->n;
}

static double y_of(const frame *f, double value) {
  return TOP + (HEIGHT - TOP - BOTTOM) * (1 - value / f->top);
}

static void draw_line(const frame *f, double value, const char *style, dw_text *out) {
  double y = y_of(f, value);
  dw_text_add(out, "<line x1=\"%.0f\" x2=\"%.0f\" y1=\"%.1f\" y2=\"%.1f\" %s/>", LEFT, WIDTH - RIGHT, y, y,
              style);
}

/* anchor  "start", "middle" or "end" of the words is at x */
static void draw_words(double x, double y, const char *anchor, const char *words, dw_text *out) {
  dw_text_add(out, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\" stroke=\"none\" fill=\"currentColor\">", x,
              y, anchor);
  dw_text_html(out, words);
  dw_text_add(out, "</text>");
}

/* ---- the axes ------------------------------------------------------------------------------------------ */

/* 0.5, 1, 2, 5, 10 ... */
static double tick_step(double top) {
  static const double grows[] = {2, 2, 2.5};
  double step = 0.5;
  for (size_t i = 0; top / step > TICKS_MOST; i++) step *= grows[i % 3];
  return step;
}

/* On both sides: a narrow screen shows the newest alone. */
static void draw_ticks(const frame *f, dw_text *out) {
  double step = tick_step(f->top);
  for (size_t i = 0; (double)i * step <= f->top; i++) {
    char label[16];
    snprintf(label, sizeof label, "%.3g", (double)i * step);
    draw_line(f, (double)i * step, i ? "stroke-opacity=\".15\"" : "stroke-opacity=\".6\"", out);
    draw_words(LEFT - 6, y_of(f, (double)i * step) + 4, "end", label, out);
    draw_words(WIDTH - RIGHT + 6, y_of(f, (double)i * step) + 4, "start", label, out);
  }
}

/* row  which of the layer's history each of the n is; NULL: all of it. The newest is always named. */
static void draw_names(const frame *f, const dw_drift_layer *layer, const size_t *row, dw_text *out) {
  size_t every = (f->n + NAMES_MOST - 1) / NAMES_MOST;
  for (size_t i = 0; i < f->n; i++) {
    char name[16];
    if ((f->n - 1 - i) % every) continue;
    const char *whole = layer->history.row[row ? row[i] : i].batch.name;
    snprintf(name, sizeof name, "%.*s", (int)dw_utf8_cut(whole, sizeof name - 1), whole);
    draw_words(x_of(f, i), HEIGHT - BOTTOM + 18, "middle", name, out);
  }
  draw_words(LEFT, HEIGHT - 8, "start", "batches, the newest right", out);
}

static void draw_limit(const frame *f, double value, const char *what, int decimals, const char *style,
                       dw_text *out) {
  char words[32];
  if (!(value >= 0 && value <= f->top)) return;
  snprintf(words, sizeof words, "%s %.*f", what, decimals, value);
  draw_line(f, value, style, out);
  draw_words(WIDTH - RIGHT, y_of(f, value) - 4, "end", words, out);
}

/* ---- the batches --------------------------------------------------------------------------------------- */

static void draw_mark(double x, double y, bool signal, bool good, dw_text *out) {
  if (signal)
    dw_text_add(out, "<rect x=\"%.1f\" y=\"%.1f\" width=\"10\" height=\"10\" fill=\"currentColor\"/>", x - 5,
                y - 5);
  else
    dw_text_add(out, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"4.5\" fill=\"%s\"/>", x, y,
                good ? "currentColor" : "none");
}

/* How far a bar of one reading's uncertainty reaches around a batch. */
static void draw_batch(const frame *f, const dw_drift_layer *layer, size_t i, dw_text *out) {
  const dw_batch_check *check = &layer->check[i];
  const dw_batch_color *color = &layer->history.color[i];
  double x = x_of(f, i), y = y_of(f, check->de00_target);
  double low = y_of(f, fmin(f->top, check->de00_target + color->uncertainty_de00));
  double high = y_of(f, fmax(0, check->de00_target - color->uncertainty_de00));
  char words[160];
  dw__batch_words(layer, i, words, sizeof words);
  dw_text_add(out, "<g><title>");
  dw_text_html(out, layer->history.row[i].batch.name);
  dw_text_add(out, ": %.2f from the target, ", check->de00_target);
  dw_text_html(out, words);
  dw_text_add(out, "</title><line x1=\"%.1f\" x2=\"%.1f\" y1=\"%.1f\" y2=\"%.1f\" stroke-opacity=\".35\"/>",
              x, x, low, high);
  draw_mark(x, y, check->signal, color->good, out);
  dw_text_add(out, "</g>");
}

static void begin(const char *title, const dw_drift_layer *layer, dw_text *out) {
  dw_text_add(
      out,
      "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" font-size=\"12\" font-family=\"system-ui,sans-serif\" "
      "stroke=\"currentColor\" fill=\"none\"><title>%s, batch by batch: ",
      WIDTH, HEIGHT, title);
  dw_text_html(out, layer->name);
  dw_text_add(out, "</title>");
}

void dw_chart_svg(const dw_drift_layer *layer, dw_text *out) {
  if (!layer->check) return;
  frame f = {dw__chart_top(layer), layer->history.n};
  begin("CIEDE2000 to the target", layer, out);
  draw_ticks(&f, out);
  draw_names(&f, layer, NULL, out);
  if (dw__chart_has_limits(layer)) {
    draw_limit(&f, layer->result.de00.center, "usual", 1, "stroke-opacity=\".6\"", out);
    draw_limit(&f, layer->result.de00.upper, "limit", 1, "stroke-dasharray=\"6 4\"", out);
  }
  dw_text_add(out, "<polyline stroke-opacity=\".5\" points=\"");
  for (size_t i = 0; i < f.n; i++)
    dw_text_add(out, "%.1f,%.1f ", x_of(&f, i), y_of(&f, layer->check[i].de00_target));
  dw_text_add(out, "\"/>");
  for (size_t i = 0; i < f.n; i++) draw_batch(&f, layer, i, out);
  draw_words(WIDTH - RIGHT, HEIGHT - 8, "end",
             "up: CIEDE2000 to the target; filled: good batch, square: drift", out);
  dw_text_add(out, "</svg>");
}

/* ---- a swirl's shares ---------------------------------------------------------------------------------- */

static void draw_share(const frame *f, const dw_drift_layer *layer, size_t i, dw_text *out) {
  const dw_batch_share *batch = &layer->shares_of.batch[i];
  double x = x_of(f, i), points = 100 * batch->share, doubt = 100 * batch->doubt;
  dw_text_add(out, "<g><title>");
  dw_text_html(out, layer->history.row[layer->shares_of.row[i]].batch.name);
  dw_text_add(out,
              ": %.0f%% of the bait</title><line x1=\"%.1f\" x2=\"%.1f\" y1=\"%.1f\" y2=\"%.1f\" "
              "stroke-opacity=\".35\"/>",
              points, x, x, y_of(f, fmin(f->top, points + doubt)), y_of(f, fmax(0, points - doubt)));
  draw_mark(x, y_of(f, points), layer->shares_of.check[i].signal, batch->good, out);
  dw_text_add(out, "</g>");
}

static double shares_top(const dw_drift_shares *s) {
  double top = isnan(s->target) ? 0 : s->target;
  for (size_t i = 0; i < s->n; i++) top = fmax(top, s->batch[i].share);
  if (s->result.base >= 2) top = fmax(top, s->result.share.upper);
  return fmin(100, fmax(110 * top, 10));
}

void dw_share_svg(const dw_drift_layer *layer, dw_text *out) {
  const dw_drift_shares *s = &layer->shares_of;
  frame f = {shares_top(s), s->n};
  if (!s->n) return;
  begin("Share of the bait", layer, out);
  draw_ticks(&f, out);
  draw_names(&f, layer, s->row, out);
  draw_limit(&f, 100 * s->target, "wanted", 0, "stroke-opacity=\".6\"", out);
  if (s->result.base >= 2) {
    draw_limit(&f, 100 * s->result.share.upper, "limit", 0, "stroke-dasharray=\"6 4\"", out);
    draw_limit(&f, 100 * s->result.share.lower, "limit", 0, "stroke-dasharray=\"6 4\"", out);
  }
  for (size_t i = 0; i < s->n; i++) draw_share(&f, layer, i, out);
  draw_words(WIDTH - RIGHT, HEIGHT - 8, "end", "up: percent of the bait; filled: good batch, square: drift",
             out);
  dw_text_add(out, "</svg>");
}
