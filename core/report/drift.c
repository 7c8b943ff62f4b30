/* What the forms of a drift report share, and its end. */
#include "report/drift.h"

#include <math.h>
#include <stdlib.h>

static const char *const verdicts[] = {"too few", "steady", "unsure", "drift"};

const char *dw__verdict_word(const dw_drift_layer *layer) {
  if (!layer->has_target) return "no target";
  if (layer->history.n == 0) return "no batch";
  return verdicts[layer->result.verdict];
}

const char *dw__share_verdict_word(const dw_drift_layer *layer) {
  return layer->shares_of.n ? verdicts[layer->shares_of.result.verdict] : "no batch";
}

bool dw__chart_has_limits(const dw_drift_layer *layer) {
  return layer->check && layer->result.base >= 2;
}

bool dw__beyond(double value, const dw_chart_limits *limits) {
  return value > limits->upper || value < limits->lower;
}

double dw__chart_top(const dw_drift_layer *layer) {
  double top = dw__chart_has_limits(layer) ? layer->result.de00.upper : 0;
  for (size_t i = 0; i < layer->history.n; i++) top = fmax(top, layer->check[i].de00_target);
  return fmax(1.1 * top, 1);
}

void dw__batch_words(const dw_drift_layer *layer, size_t batch, char *out, size_t room) {
  dw_difference_words(layer->target, layer->history.color[batch].lab, out, room);
}
