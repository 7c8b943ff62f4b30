#include "pourtone/report_sheet.h"

#include "report/html.h"

#include <math.h>
#include <string.h>

const char pt_sheet_style[] =
    "@page{margin:14mm}"
    "body{margin:0 auto;max-width:56rem;padding:1rem;background:#fff;color:#1d1a16;"
    "font:16px/1.4 system-ui,sans-serif}"
    "h1{font-size:1.6rem;margin:0}h2{font-size:1.25rem;margin:0 0 .3rem}p{margin:.3rem 0}"
    ".cups{display:grid;grid-template-columns:repeat(auto-fit,minmax(15rem,1fr));gap:.8rem;margin:.8rem 0}"
    ".cup{border:2px solid #1d1a16;border-radius:.7rem;padding:.7rem;break-inside:avoid}"
    ".order{float:right;font-size:1.5rem;font-weight:700}"
    "table{width:100%;border-collapse:collapse;font-variant-numeric:tabular-nums}"
    "td,th{padding:.25rem .2rem;border-bottom:1px solid #b9ae9c;text-align:right;font-weight:400}"
    "td:first-child,th:first-child{text-align:left}td.count{font-size:1.2rem;font-weight:700}"
    ".box{display:inline-block;width:1em;height:1em;border:1.5px solid #1d1a16;border-radius:.2em;"
    "vertical-align:-.12em;margin-right:.4em}"
    "svg{width:100%;height:2.6rem;display:block;margin:.4rem 0}.soft{color:#5b5247;font-size:.9rem}"
    ".line{border-bottom:1px solid #1d1a16;height:1.6rem}ul{margin:.3rem 0;padding-left:1.2rem}"
    "@media print{body{padding:0}}";

/* ---- quantities -------------------------------------------------------------------------------------------
 */

static void put_volume(double floz, pt_units units, pt_text *out) {
  if (units == PT_UNITS_METRIC)
    pt_text_add(out, "%.0f ml", floz * PT_ML_PER_FLOZ);
  else
    pt_text_add(out, "%.2f fl oz", floz);
}

static void put_count(double drops, pt_text *out) {
  if (drops == floor(drops))
    pt_text_add(out, "%.0f", drops);
  else
    pt_text_add(out, "%.1f", drops);
}

/* ---- one cup ----------------------------------------------------------------------------------------------
 */

/* Presentation attributes, not styles: a page may forbid those. */
static void put_swatch(int x, const char *label, pt_lab color, pt_text *out) {
  pt_text_add(out, "<rect x=\"%d\" y=\"0\" width=\"98\" height=\"26\" rx=\"4\" fill=\"", x + 1);
  pt__html_color(color, out);
  pt_text_add(
      out, "\" stroke=\"#1d1a16\"/><text x=\"%d\" y=\"38\" font-size=\"10\" text-anchor=\"middle\">%s</text>",
      x + 50, label);
}

static void put_colors(const pt_sheet_cup *cup, pt_text *out) {
  if (!cup->has_target && !cup->has_color) return;
  pt_text_add(out, "<svg viewBox=\"0 0 202 42\" role=\"img\" aria-label=\"Colors of this cup\">");
  if (cup->has_target) put_swatch(0, "aimed for", cup->target, out);
  if (cup->has_color) put_swatch(102, cup->measured ? "measured" : "predicted", cup->color, out);
  pt_text_add(out, "</svg>");
  if (!cup->has_target || !cup->has_color) return;
  char words[160];
  pt_way_words(cup->color, cup->target, words, sizeof words);
  double away = pt_de00(cup->color, cup->target);
  if (cup->measured && away < cup->uncertainty_de00)
    pt_text_add(out, "<p class=\"soft\">Within what the photo can tell.</p>");
  else
    pt_text_add(out, "<p class=\"soft\">%s %.1f from the target; %s.</p>",
                cup->measured ? "Measured" : "Predicted", away, words);
}

static void put_drops(const pt_sheet *sheet, const pt_cup *cup, pt_text *out) {
  pt_text_add(out, "<table><thead><tr><th scope=\"col\">Bottle</th><th scope=\"col\">Drops</th>"
                   "<th scope=\"col\">ml</th></tr></thead><tbody>");
  for (size_t i = 0; i < cup->drops.n; i++) {
    const pt_bottle *bottle = &sheet->shelf->bottle[cup->drops.part[i].bottle];
    double drops = cup->drops.part[i].amount;
    pt_text_add(out, "<tr><td><span class=\"box\"></span>");
    pt_text_html(out, bottle->title);
    pt_text_add(out, "%s</td><td class=\"count\">", pt_bottle_mark(bottle));
    put_count(drops, out);
    pt_text_add(out, "</td><td>%.2f</td></tr>", drops * bottle->drop_ml);
  }
  if (cup->drops.n == 0) pt_text_add(out, "<tr><td colspan=\"3\">no color: clear base</td></tr>");
  pt_text_add(out, "</tbody></table>");
}

static void put_cup(const pt_sheet *sheet, size_t i, pt_text *out) {
  const pt_sheet_cup *cup = &sheet->cup[i];
  pt_text_add(out, "<section class=\"cup\"><span class=\"order\">%zu</span><h2>", i + 1);
  pt_text_html(out, cup->layer);
  pt_text_add(out, "</h2><p><span class=\"box\"></span>clear base ");
  put_volume(cup->cup.volume_floz, sheet->units, out);
  pt_text_add(out, " in a cup of ");
  put_volume(cup->cup.capacity_floz, sheet->units, out);
  pt_text_add(out, "</p>");
  put_drops(sheet, &cup->cup, out);
  put_colors(cup, out);
  pt_text_add(out, "<p class=\"soft\">temperature when poured</p><div class=\"line\"></div></section>\n");
}

/* ---- the page ---------------------------------------------------------------------------------------------
 */

static void put_head(const pt_sheet *sheet, const char *style_address, pt_text *out) {
  pt__html_head(sheet->title, "cup sheet", style_address ? PT__STYLE_ADDRESS : PT__STYLE_TEXT,
                style_address ? style_address : pt_sheet_style, out);
  pt_text_add(out, "<h1>");
  pt_text_html(out, sheet->title);
  pt_text_add(out, "</h1><p class=\"soft\">Cup sheet, ");
  pt_text_html(out, sheet->date);
  if (*sheet->source) {
    pt_text_add(out, ". ");
    pt_text_html(out, sheet->source);
  }
  pt_text_add(out, ". Colors as seen %.3g mm thick.</p>", sheet->slab.thickness_mm);
  if (*sheet->note) {
    pt_text_add(out, "<p>");
    pt_text_html(out, sheet->note);
    pt_text_add(out, "</p>");
  }
}

static void put_order(const pt_sheet *sheet, pt_text *out) {
  pt_text_add(out, "<h2>Order in the mold</h2><p>");
  for (size_t i = 0; i < sheet->n; i++) {
    pt_text_add(out, "%s%zu ", i ? ", " : "", i + 1);
    pt_text_html(out, sheet->cup[i].layer);
  }
  pt_text_add(out,
              ", from the bait's back to its belly. Which side of the mold is the back depends on how it "
              "stands to the sprue: look before you pour, and have all cups ready at the same moment.</p>"
              "<p class=\"soft\">cup on the left, cup on the right, with this mold</p><div "
              "class=\"line\"></div>\n");
}

pt_status pt_html_sheet(const pt_sheet *sheet, const char *style_address, pt_text *out, pt_error *err) {
  put_head(sheet, style_address, out);
  pt_text_add(out, "<div class=\"cups\">\n");
  for (size_t i = 0; i < sheet->n; i++) put_cup(sheet, i, out);
  pt_text_add(out, "</div>\n");
  put_order(sheet, out);
  pt_text_add(out, "<h2>Mind</h2>");
  pt__html_cautions(out);
  pt_text_add(out, "</body></html>\n");
  return out->failed ? pt_fail_memory(err, "the cup sheet") : PT_OK;
}
