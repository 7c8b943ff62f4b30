/* Drift as an HTML report. */
#include "report/drift.h"
#include "report/html.h"

static void html_row(const dw_drift_layer *layer, size_t i, dw_text *out) {
  const dw_batch_check *check = &layer->check[i];
  const dw_batch_row *row = &layer->history.row[i];
  char words[160];
  dw__batch_words(layer, i, words, sizeof words);
  dw_text_add(out, "<tr><td>");
  dw_text_html(out, row->batch.name);
  dw_text_add(out, "</td><td>%.10s</td><td><span class=\"swatch\" style=\"background:", row->batch.poured);
  dw__html_color(layer->history.color[i].lab, out);
  dw_text_add(out, "\"></span></td><td>%.2f</td><td>%.1f</td><td>%zu</td><td class=\"words\">",
              check->de00_target, layer->history.color[i].uncertainty_de00, row->baits);
  dw_text_html(out, words);
  dw_text_add(out, "%s</td></tr>\n", check->signal ? " <b class=\"note\">drift</b>" : "");
}

static void html_layer(const dw_drift_layer *layer, dw_text *out) {
  dw_text_add(out, "<section><h2>");
  dw_text_html(out, layer->name);
  dw_text_add(out, ": %s</h2><p%s>", dw__verdict_word(layer),
              layer->result.verdict == DW_DRIFT_FOUND ? " class=\"note\"" : "");
  dw_text_html(out, layer->result.words);
  dw_text_add(out, "</p>");
  if (layer->has_advice) {
    dw_text_add(out, "<p class=\"do\">%s", layer->next.known ? "Next cup: " : "");
    dw_text_html(out, layer->next.known ? layer->next.recipe : layer->next.words);
    dw_text_add(out, "</p>");
  }
  dw_chart_svg(layer, out);
  if (layer->has_shots) {
    dw_text_add(out, "<p>");
    dw_text_html(out, layer->shots.words);
    dw_text_add(out, "</p>");
  }
  dw__groups_svg(layer, out);
  if (*layer->travels.words) {
    dw_text_add(out, "<p>Turned in the light: ");
    dw_text_html(out, layer->travels.words);
    dw_text_add(out, "</p>");
  }
  if (layer->swirl) {
    dw_text_add(out, "<p%s>",
                layer->shares_of.n && layer->shares_of.result.verdict == DW_DRIFT_FOUND ? " class=\"note\""
                                                                                        : "");
    dw_text_html(out, layer->shares_of.result.words);
    dw_text_add(out, "</p>");
    dw_share_svg(layer, out);
  }
  if (layer->check) {
    dw_text_add(out, "<div class=\"scroll\"><table><thead><tr><th>batch</th><th>poured</th><th></th>"
                     "<th>from target</th><th>doubt</th><th>baits</th><th class=\"words\">against the "
                     "target</th></tr></thead><tbody>\n");
    for (size_t i = layer->history.n; i-- > 0;) html_row(layer, i, out);
    dw_text_add(out, "</tbody></table></div>");
  }
  dw_text_add(out, "</section>\n");
}

dw_status dw_html_drift(const dw_drift_report *report, dw_text *out, dw_error *err) {
  dw__html_begin(report->pattern.name, out);
  for (size_t i = 0; i < report->n; i++) html_layer(&report->layer[i], out);
  dw_text_add(out, "<section><h2>What the book's pours say</h2><ul>");
  for (size_t i = 0; i < report->n_changes; i++) {
    dw_text_add(out, "<li>");
    dw_text_html(out, report->change[i].slug);
    dw_text_add(out, " changed lot from ");
    dw_text_html(out, report->change[i].from);
    dw_text_add(out, " to ");
    dw_text_html(out, report->change[i].to);
    dw_text_add(out, "</li>");
  }
  dw_text_add(out, "<li>%s</li><li>%s</li></ul></section></body></html>\n", report->heat_blend.words,
              report->heat_drift.words);
  return out->failed ? dw_fail_memory(err, "the HTML report") : DW_OK;
}
