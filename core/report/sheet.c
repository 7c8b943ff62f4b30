#include "dropwise/report_sheet.h"

#include "report/html.h"

#include <math.h>
#include <string.h>

const char dw_sheet_style[] =
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

static void put_volume(double floz, dw_units units, dw_text *out) {
  if (units == DW_UNITS_METRIC)
    dw_text_add(out, "%.0f ml", floz * DW_ML_PER_FLOZ);
  else
    dw_text_add(out, "%.2f fl oz", floz);
}

static void put_count(double drops, dw_text *out) {
  if (drops == floor(drops))
    dw_text_add(out, "%.0f", drops);
  else
    dw_text_add(out, "%.1f", drops);
}

/* ---- one cup ----------------------------------------------------------------------------------------------
 */

/* Presentation attributes, not styles: a page may forbid those. */
static void put_swatch(int x, const char *label, dw_lab color, dw_text *out) {
  dw_text_add(out, "<rect x=\"%d\" y=\"0\" width=\"98\" height=\"26\" rx=\"4\" fill=\"", x + 1);
  dw__html_color(color, out);
  dw_text_add(
      out, "\" stroke=\"#1d1a16\"/><text x=\"%d\" y=\"38\" font-size=\"10\" text-anchor=\"middle\">%s</text>",
      x + 50, label);
}

static void put_colors(const dw_sheet_cup *cup, dw_text *out) {
  if (!cup->has_target && !cup->has_color) return;
  dw_text_add(out, "<svg viewBox=\"0 0 202 42\" role=\"img\" aria-label=\"Colors of this cup\">");
  if (cup->has_target) put_swatch(0, "aimed for", cup->target, out);
  if (cup->has_color) put_swatch(102, cup->measured ? "measured" : "predicted", cup->color, out);
  dw_text_add(out, "</svg>");
  if (!cup->has_target || !cup->has_color) return;
  char words[160];
  dw_way_words(cup->color, cup->target, words, sizeof words);
  double away = dw_de00(cup->color, cup->target);
  if (cup->measured && away < cup->uncertainty_de00)
    dw_text_add(out, "<p class=\"soft\">Within what the photo can tell.</p>");
  else
    dw_text_add(out, "<p class=\"soft\">%s %.1f from the target; %s.</p>",
                cup->measured ? "Measured" : "Predicted", away, words);
}

static void put_drops(const dw_sheet *sheet, const dw_cup *cup, dw_text *out) {
  dw_text_add(out, "<table><thead><tr><th scope=\"col\">Bottle</th><th scope=\"col\">Drops</th>"
                   "<th scope=\"col\">ml</th></tr></thead><tbody>");
  for (size_t i = 0; i < cup->drops.n; i++) {
    const dw_bottle *bottle = &sheet->shelf->bottle[cup->drops.part[i].bottle];
    double drops = cup->drops.part[i].amount;
    dw_text_add(out, "<tr><td><span class=\"box\"></span>");
    dw_text_html(out, bottle->title);
    dw_text_add(out, "%s</td><td class=\"count\">", dw_bottle_mark(bottle));
    put_count(drops, out);
    dw_text_add(out, "</td><td>%.2f</td></tr>", drops * bottle->drop_ml);
  }
  if (cup->drops.n == 0) dw_text_add(out, "<tr><td colspan=\"3\">no color: clear base</td></tr>");
  dw_text_add(out, "</tbody></table>");
}

static void put_cup(const dw_sheet *sheet, size_t i, dw_text *out) {
  const dw_sheet_cup *cup = &sheet->cup[i];
  dw_text_add(out, "<section class=\"cup\"><span class=\"order\">%zu</span><h2>", i + 1);
  dw_text_html(out, cup->layer);
  dw_text_add(out, "</h2><p><span class=\"box\"></span>clear base ");
  put_volume(cup->cup.volume_floz, sheet->units, out);
  dw_text_add(out, " in a cup of ");
  put_volume(cup->cup.capacity_floz, sheet->units, out);
  dw_text_add(out, "</p>");
  put_drops(sheet, &cup->cup, out);
  put_colors(cup, out);
  dw_text_add(out, "<p class=\"soft\">temperature when poured</p><div class=\"line\"></div></section>\n");
}

/* ---- the page ---------------------------------------------------------------------------------------------
 */

static void put_head(const dw_sheet *sheet, const char *style_address, dw_text *out) {
  dw__html_head(sheet->title, "cup sheet", style_address ? DW__STYLE_ADDRESS : DW__STYLE_TEXT,
                style_address ? style_address : dw_sheet_style, out);
  dw_text_add(out, "<h1>");
  dw_text_html(out, sheet->title);
  dw_text_add(out, "</h1><p class=\"soft\">Cup sheet, ");
  dw_text_html(out, sheet->date);
  if (*sheet->source) {
    dw_text_add(out, ". ");
    dw_text_html(out, sheet->source);
  }
  dw_text_add(out, ". Colors as seen %.3g mm thick.</p>", sheet->slab.thickness_mm);
  if (*sheet->note) {
    dw_text_add(out, "<p>");
    dw_text_html(out, sheet->note);
    dw_text_add(out, "</p>");
  }
}

static void put_order(const dw_sheet *sheet, dw_text *out) {
  dw_text_add(out, "<h2>Order in the mold</h2><p>");
  for (size_t i = 0; i < sheet->n; i++) {
    dw_text_add(out, "%s%zu ", i ? ", " : "", i + 1);
    dw_text_html(out, sheet->cup[i].layer);
  }
  dw_text_add(out,
              ", from the bait's back to its belly. Which side of the mold is the back depends on how it "
              "stands to the sprue: look before you pour, and have all cups ready at the same moment.</p>"
              "<p class=\"soft\">cup on the left, cup on the right, with this mold</p><div "
              "class=\"line\"></div>\n");
}

dw_status dw_html_sheet(const dw_sheet *sheet, const char *style_address, dw_text *out, dw_error *err) {
  put_head(sheet, style_address, out);
  dw_text_add(out, "<div class=\"cups\">\n");
  for (size_t i = 0; i < sheet->n; i++) put_cup(sheet, i, out);
  dw_text_add(out, "</div>\n");
  put_order(sheet, out);
  dw_text_add(out, "<h2>Mind</h2>");
  dw__html_cautions(out);
  dw_text_add(out, "</body></html>\n");
  return out->failed ? dw_fail_memory(err, "the cup sheet") : DW_OK;
}
