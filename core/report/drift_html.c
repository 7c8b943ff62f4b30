/* Drift as an HTML report. */
#include "report/drift.h"
#include "report/html.h"

static void html_row(const pt_drift_layer *layer, size_t i, pt_text *out) {
  const pt_batch_check *check = &layer->check[i];
  const pt_batch_row *row = &layer->history.row[i];
  char words[160];
  pt__batch_words(layer, i, words, sizeof words);
  pt_text_add(out, "<tr><td>");
  pt_text_html(out, row->batch.name);
  pt_text_add(out, "</td><td>%.10s</td><td><span class=\"swatch\" style=\"background:", row->batch.poured);
  pt__html_color(layer->history.color[i].lab, out);
  pt_text_add(out, "\"></span></td><td>%.2f</td><td>%.1f</td><td>%zu</td><td class=\"words\">",
              check->de00_target, layer->history.color[i].uncertainty_de00, row->baits);
  pt_text_html(out, words);
  pt_text_add(out, "%s</td></tr>\n", check->signal ? " <b class=\"note\">drift</b>" : "");
}

static void html_layer(const pt_drift_layer *layer, pt_text *out) {
  pt_text_add(out, "<section><h2>");
  pt_text_html(out, layer->name);
  pt_text_add(out, ": %s</h2><p%s>", pt__verdict_word(layer),
              layer->result.verdict == PT_DRIFT_FOUND ? " class=\"note\"" : "");
  pt_text_html(out, layer->result.words);
  pt_text_add(out, "</p>");
  if (layer->has_advice) {
    pt_text_add(out, "<p class=\"do\">%s", layer->next.known ? "Next cup: " : "");
    pt_text_html(out, layer->next.known ? layer->next.recipe : layer->next.words);
    pt_text_add(out, "</p>");
  }
  pt_chart_svg(layer, out);
  if (layer->check) {
    pt_text_add(out, "<div class=\"scroll\"><table><thead><tr><th>batch</th><th>poured</th><th></th>"
                     "<th>from target</th><th>give or take</th><th>baits</th><th class=\"words\">against the "
                     "target</th></tr></thead><tbody>\n");
    for (size_t i = layer->history.n; i-- > 0;) html_row(layer, i, out);
    pt_text_add(out, "</tbody></table></div>");
  }
  pt_text_add(out, "</section>\n");
}

pt_status pt_html_drift(const pt_drift_report *report, pt_text *out, pt_error *err) {
  pt__html_begin(report->pattern.name, out);
  for (size_t i = 0; i < report->n; i++) html_layer(&report->layer[i], out);
  pt_text_add(out, "<section><h2>What the book's pours say</h2><ul>");
  for (size_t i = 0; i < report->n_changes; i++) {
    pt_text_add(out, "<li>");
    pt_text_html(out, report->change[i].slug);
    pt_text_add(out, " changed lot from ");
    pt_text_html(out, report->change[i].from);
    pt_text_add(out, " to ");
    pt_text_html(out, report->change[i].to);
    pt_text_add(out, "</li>");
  }
  pt_text_add(out, "<li>%s</li><li>%s</li></ul></section></body></html>\n", report->heat_blend.words,
              report->heat_drift.words);
  return out->failed ? pt_fail_memory(err, "the HTML report") : PT_OK;
}
