/* X-bar and R of the baits of each batch as SVG: two charts below each other, in the page's own colors. */
#include "report/drift.h"

#include <math.h>

#define WIDTH 720.0
#define HEIGHT 130.0 /* of each */
#define LEFT 44.0
#define RIGHT 12.0
#define TOP 18.0
#define BOTTOM 10.0

typedef struct frame {
  double begin, top; /* y of its upper edge; value there */
  size_t n;
} frame;

static double x_of(const frame *f, size_t i, double part) {
  return LEFT + (WIDTH - LEFT - RIGHT) * ((double)i + part) / (double)f->n;
}

static double y_of(const frame *f, double value) {
  return f->begin + TOP + (HEIGHT - TOP - BOTTOM) * (1 - fmin(fmax(value, 0), f->top) / f->top);
}

/* Each batch has limits of its own, by the number of its baits: a step below and above it. */
static void draw_limits(const frame *f, size_t i, const dw_chart_limits *limits, dw_text *out) {
  const double at[] = {limits->lower, limits->center, limits->upper};
  for (size_t k = 0; k < 3; k++)
    dw_text_add(out, "<line x1=\"%.1f\" x2=\"%.1f\" y1=\"%.1f\" y2=\"%.1f\" stroke-opacity=\"%s\"%s/>",
                x_of(f, i, 0), x_of(f, i, 1), y_of(f, at[k]), y_of(f, at[k]), k == 1 ? ".35" : ".8",
                k == 1 ? "" : " stroke-dasharray=\"6 4\"");
}

static void draw_value(const frame *f, const dw_drift_layer *layer, size_t i, double value, bool beyond,
                       dw_text *out) {
  double x = x_of(f, i, .5), y = y_of(f, value);
  dw_text_add(out, "<g><title>");
  dw_text_html(out, layer->history.row[i].batch.name);
  dw_text_add(out, ": %.2f, %zu baits%s</title>", value, layer->history.row[i].baits,
              beyond ? ", beyond the limits" : "");
  if (beyond)
    dw_text_add(out, "<rect x=\"%.1f\" y=\"%.1f\" width=\"10\" height=\"10\" fill=\"currentColor\"/></g>",
                x - 5, y - 5);
  else
    dw_text_add(out, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"4\" fill=\"%s\"/></g>", x, y,
                layer->history.color[i].good ? "currentColor" : "none");
}

static double top_of(const dw_drift_layer *layer, bool ranges) {
  double top = 1;
  for (size_t i = 0; i < layer->history.n; i++) {
    if (layer->history.row[i].baits < 2) continue;
    const dw_bait_limits *l = &layer->bait_limits[i];
    top = fmax(top, 1.05 * fmax(ranges ? layer->bait_range[i] : layer->bait_mean[i],
                                ranges ? l->range.upper : l->mean.upper));
  }
  return top;
}

static void draw_chart(const dw_drift_layer *layer, bool ranges, dw_text *out) {
  frame f = {ranges ? HEIGHT : 0, top_of(layer, ranges), layer->history.n};
  dw_text_add(
      out, "<text x=\"%.0f\" y=\"%.0f\" stroke=\"none\" fill=\"currentColor\">%s</text>", LEFT, f.begin + 12,
      ranges ? "Range of the baits of a batch" : "Mean of the baits of a batch, CIEDE2000 to the target");
  for (size_t k = 0; k < 2; k++)
    dw_text_add(out,
                "<text x=\"%.0f\" y=\"%.1f\" text-anchor=\"end\" stroke=\"none\" "
                "fill=\"currentColor\">%.1f</text>",
                LEFT - 6, y_of(&f, k ? f.top : 0) + 4, k ? f.top : 0);
  for (size_t i = 0; i < layer->history.n; i++) {
    const dw_bait_limits *l = &layer->bait_limits[i];
    if (layer->history.row[i].baits < 2) continue;
    const dw_chart_limits *limits = ranges ? &l->range : &l->mean;
    double value = ranges ? layer->bait_range[i] : layer->bait_mean[i];
    draw_limits(&f, i, limits, out);
    draw_value(&f, layer, i, value, dw__beyond(value, limits), out);
  }
}

void dw__groups_svg(const dw_drift_layer *layer, dw_text *out) {
  if (!layer->groups.n) return;
  dw_text_add(out,
              "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" font-size=\"12\" "
              "font-family=\"system-ui,sans-serif\" stroke=\"currentColor\" fill=\"none\">"
              "<title>Mean and range of the baits of each batch, with their limits</title>",
              WIDTH, 2 * HEIGHT);
  draw_chart(layer, false, out);
  draw_chart(layer, true, out);
  dw_text_add(out, "</svg>");
}
