/* A control chart as SVG: it takes its colors from the page around it. */
#include "report/drift.h"

#include <math.h>

#define WIDTH 720.0
#define HEIGHT 220.0
#define LEFT 44.0
#define RIGHT 12.0
#define TOP 12.0
#define BOTTOM 30.0

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

static void draw_level(const frame *f, double value, const char *label, const char *style, dw_text *out) {
  if (value < 0 || value > f->top) return;
  double y = y_of(f, value);
  dw_text_add(out, "<line x1=\"%.0f\" x2=\"%.0f\" y1=\"%.1f\" y2=\"%.1f\" %s/>", LEFT, WIDTH - RIGHT, y, y,
              style);
  dw_text_add(
      out, "<text x=\"%.0f\" y=\"%.1f\" text-anchor=\"end\" stroke=\"none\" fill=\"currentColor\">%s</text>",
      LEFT - 6, y + 4, label);
}

static void draw_number(const frame *f, double value, const char *style, dw_text *out) {
  char label[16];
  snprintf(label, sizeof label, "%.1f", value);
  draw_level(f, value, label, style, out);
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
  if (check->signal)
    dw_text_add(out, "<rect x=\"%.1f\" y=\"%.1f\" width=\"10\" height=\"10\" fill=\"currentColor\"/>", x - 5,
                y - 5);
  else
    dw_text_add(out, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"4.5\" fill=\"%s\"/>", x, y,
                color->good ? "currentColor" : "none");
  dw_text_add(out, "</g>");
}

void dw_chart_svg(const dw_drift_layer *layer, dw_text *out) {
  if (!layer->check) return;
  frame f = {dw__chart_top(layer), layer->history.n};
  dw_text_add(
      out,
      "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" font-size=\"12\" font-family=\"system-ui,sans-serif\" "
      "stroke=\"currentColor\" fill=\"none\"><title>CIEDE2000 to the target, batch by batch: ",
      WIDTH, HEIGHT);
  dw_text_html(out, layer->name);
  dw_text_add(out, "</title>");
  draw_level(&f, 0, "0", "stroke-opacity=\".6\"", out);
  if (dw__chart_has_limits(layer)) {
    draw_number(&f, layer->result.de00.center, "stroke-opacity=\".6\"", out);
    draw_number(&f, layer->result.de00.upper, "stroke-dasharray=\"6 4\"", out);
  }
  dw_text_add(out, "<polyline stroke-opacity=\".5\" points=\"");
  for (size_t i = 0; i < f.n; i++)
    dw_text_add(out, "%.1f,%.1f ", x_of(&f, i), y_of(&f, layer->check[i].de00_target));
  dw_text_add(out, "\"/>");
  for (size_t i = 0; i < f.n; i++) draw_batch(&f, layer, i, out);
  dw_text_add(out,
              "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"end\" stroke=\"none\" fill=\"currentColor\">"
              "CIEDE2000 to the target; filled: good batch, square: drift</text></svg>",
              WIDTH - RIGHT, HEIGHT - 8);
}
