#include "dropwise/report_qr.h"
#include "report/html.h"
#include "report/sheet_picture.h"

#include <math.h>
#include <string.h>

/* Paper is white and ink black: the only hues are those of the plastic. */
const char dw_sheet_style[] =
    "@page{margin:11mm}*{box-sizing:border-box}"
    "body{margin:0 auto;max-width:56rem;padding:1rem;background:#fff;color:#161616;"
    "font:16px/1.35 system-ui,sans-serif}"
    "h1{font-size:1.6rem;margin:0}h2{font-size:1.2rem;margin:0 0 .2rem}p{margin:.2rem 0}"
    ".head{display:flex;gap:1rem;align-items:flex-start}.head div{flex:1}"
    ".qr{width:6.2rem;height:6.2rem;flex:none}"
    ".bait svg{width:100%;max-height:13rem;display:block;margin:.4rem 0}"
    ".cups{display:grid;grid-template-columns:repeat(auto-fit,minmax(14.5rem,1fr));gap:.6rem;margin:.6rem 0}"
    ".cup{border:2px solid #161616;padding:.6rem;break-inside:avoid}"
    ".order{float:right;font-size:1.5rem;font-weight:700}"
    "table{width:100%;border-collapse:collapse;font-variant-numeric:tabular-nums}"
    "td,th{padding:.2rem;border-bottom:1px solid #9a9a9a;text-align:right;font-weight:400;vertical-align:top}"
    "td:first-child,th:first-child{text-align:left}td.count{font-size:1.2rem;font-weight:700}"
    ".ticks{display:block;letter-spacing:.08em;word-spacing:.45em;overflow-wrap:anywhere;font-size:1.05rem}"
    ".box{display:inline-block;width:1em;height:1em;border:1.5px solid #161616;vertical-align:-.12em;"
    "margin-right:.4em}"
    ".colors{width:100%;height:2.6rem;display:block;margin:.4rem 0}.soft{color:#4a4a4a;font-size:.9rem}"
    ".chambers{height:5rem;max-width:100%;display:block;margin:.3rem 0}"
    ".line{border-bottom:1px solid #161616;height:1.6rem}ul{margin:.2rem 0;padding-left:1.2rem}"
    "@media print{body{padding:0;font-size:11px}h1{font-size:18px}h2{font-size:14px}"
    ".bait svg{max-height:9.5rem;margin:.1rem 0}.cups{gap:.4rem;margin:.3rem 0}.cup{padding:.4rem}"
    ".line{height:1.1rem}.qr{width:5rem;height:5rem}.chambers{height:3.6rem}}";

enum { TICKS_MAX = 60 };

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
  dw_text_add(out, "<rect x=\"%d\" y=\"0\" width=\"98\" height=\"26\" fill=\"", x + 1);
  dw__html_color(color, out);
  dw_text_add(
      out, "\" stroke=\"#161616\"/><text x=\"%d\" y=\"38\" font-size=\"10\" text-anchor=\"middle\">%s</text>",
      x + 50, label);
}

static void put_colors(const dw_sheet_cup *cup, dw_text *out) {
  if (!cup->has_target && !cup->has_color) return;
  dw_text_add(out,
              "<svg class=\"colors\" viewBox=\"0 0 202 42\" role=\"img\" aria-label=\"Colors of this cup\">");
  if (cup->has_target) put_swatch(0, "aimed for", cup->target, out);
  if (cup->has_color) put_swatch(98, cup->measured ? "measured" : "predicted", cup->color, out);
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

/* A ring to tick for every drop, in groups of five; over TICKS_MAX the count alone is surer. */
static void put_ticks(double drops, dw_text *out) {
  if (drops > TICKS_MAX || drops < 1) return;
  dw_text_add(out, "<span class=\"ticks\" aria-hidden=\"true\">");
  for (int i = 0; i < (int)drops; i++) dw_text_add(out, "%s\xE2\x97\x8B", i && i % 5 == 0 ? " " : "");
  dw_text_add(out, "</span>");
}

static void put_drops(const dw_sheet *sheet, const dw_cup *cup, dw_text *out) {
  dw_text_add(out, "<table><thead><tr><th scope=\"col\">Bottle</th><th scope=\"col\">Drops</th>"
                   "<th scope=\"col\">ml</th></tr></thead><tbody>");
  for (size_t i = 0; i < cup->drops.n; i++) {
    const dw_bottle *bottle = &sheet->shelf->bottle[cup->drops.part[i].bottle];
    double drops = cup->drops.part[i].amount;
    dw_text_add(out, "<tr><td><span class=\"box\"></span>");
    dw_text_html(out, bottle->title);
    dw_text_add(out, "%s", dw_bottle_mark(bottle));
    put_ticks(drops, out);
    dw_text_add(out, "</td><td class=\"count\">");
    put_count(drops, out);
    dw_text_add(out, "</td><td>%.2f</td></tr>", drops * bottle->drop_ml);
  }
  if (cup->drops.n == 0) dw_text_add(out, "<tr><td colspan=\"3\">no color: clear base</td></tr>");
  dw_text_add(out, "</tbody></table>");
}

static void put_advised(const dw_sheet *sheet, const dw_sheet_cup *cup, dw_text *out) {
  dw_text words = {0};
  dw_sheet_advised_words(sheet, cup, &words);
  if (words.data) {
    dw_text_add(out, "<p><span class=\"box\"></span>");
    dw_text_html(out, words.data);
    dw_text_add(out, "</p>");
  }
  out->failed |= words.failed;
  dw_text_free(&words);
}

/* Filled in where it was noted, else a line to write on. */
static void put_heat(const dw_sheet_cup *cup, dw_units units, dw_text *out) {
  char words[DW_HEAT_WORDS_ROOM];
  dw_sheet_heat_words(cup, units, words);
  if (*words)
    dw_text_add(out, "<p>temperature %s</p>", words);
  else
    dw_text_add(out,
                "<p class=\"soft\">temperature when poured, and the minute</p><div class=\"line\"></div>");
}

/* How even the cups are, and whose temperatures count. */
static void put_even(const dw_sheet *sheet, dw_text *out) {
  if (sheet->batch && !isnan(sheet->heat.spread_f)) {
    dw_text_add(out, "<p>");
    if (sheet->heat.beyond) dw_text_add(out, "! ");
    dw_text_html(out, sheet->heat.words);
    dw_text_add(out, "</p>");
  }
  dw_text_add(out, "<p class=\"soft\">%s</p>\n", dw_heat_source);
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
  put_advised(sheet, cup, out);
  put_heat(cup, sheet->units, out);
  dw_text_add(out, "</section>\n");
}

/* ---- the page ---------------------------------------------------------------------------------------------
 */

/* The batch's number alone: what it opens is behind the page's own pairing. */
static dw_status put_code(const dw_sheet *sheet, const char *address, dw_text *out, dw_error *err) {
  char content[160];
  if (!address || !sheet->batch) return DW_OK;
  const int n = snprintf(content, sizeof content, "%s#batch/%lld", address, (long long)sheet->batch);
  if (n < 0 || (size_t)n >= sizeof content)
    return dw_fail(err, DW_TOO_LARGE, "The page's address is too long for a QR code.");
  return dw_svg_qr(content, "Opens this batch on the page", out, err);
}

static dw_status put_head(const dw_sheet *sheet, const dw_sheet_look *look, dw_text *out, dw_error *err) {
  const char *address = look->style_address;
  dw__html_head(sheet->title, "cup sheet", address ? DW__STYLE_ADDRESS : DW__STYLE_TEXT,
                address ? address : dw_sheet_style, out);
  dw_text_add(out, "<div class=\"head\"><div><h1>");
  dw_text_html(out, sheet->title);
  dw_text_add(out, "</h1><p class=\"soft\">Cup sheet, ");
  dw_text_html(out, sheet->date);
  if (*sheet->source) {
    dw_text_add(out, ". ");
    dw_text_html(out, sheet->source);
  }
  dw_text_add(out, ". Colors as seen %.3g mm thick.</p>", sheet->slab.thickness_mm);
  if (*sheet->lack) {
    dw_text_add(out, "<p class=\"soft\">");
    dw_text_html(out, sheet->lack);
    dw_text_add(out, "</p>");
  }
  if (*sheet->note) {
    dw_text_add(out, "<p>");
    dw_text_html(out, sheet->note);
    dw_text_add(out, "</p>");
  }
  dw_text_add(out, "</div>");
  dw_status status = put_code(sheet, look->page_address, out, err);
  dw_text_add(out, "</div>\n<div class=\"bait\">");
  if (status == DW_OK) status = dw__sheet_bait(sheet, look, out, err);
  dw_text_add(out, "</div>\n");
  return status;
}

static void put_order(const dw_sheet *sheet, dw_text *out) {
  dw_text_add(out, "<h2>Order in the %s</h2>", sheet->has_mold ? "mold" : "bait");
  if (sheet->has_mold) {
    dw__sheet_chambers(sheet, out);
    dw_text_add(out, "<p>From left to right as you look along the injector into the sprue, with the mold \"");
    dw_text_html(out, sheet->mold.name);
    dw_text_add(out, "\": its sprue %s, its backs %s. ", dw_side_name(sheet->mold.sprue),
                dw_side_name(sheet->mold.back));
  } else {
    dw_text_add(out, "<p>");
    for (size_t i = 0; i < sheet->n; i++) {
      dw_text_add(out, "%s%zu ", i ? ", " : "", i + 1);
      dw_text_html(out, sheet->cup[i].layer);
    }
    dw_text_add(out, ", from the bait's back to its belly. Which side of the mold is the back depends on how "
                     "it stands to the sprue: look before you pour. ");
  }
  dw_text_add(out, "Have all cups ready at the same moment.</p>");
  if (!sheet->has_mold)
    dw_text_add(out, "<p class=\"soft\">cup on the left, cup on the right, with this mold</p><div "
                     "class=\"line\"></div>\n");
}

dw_status dw_html_sheet(const dw_sheet *sheet, const dw_sheet_look *look, dw_text *out, dw_error *err) {
  dw_status status = put_head(sheet, look, out, err);
  if (status != DW_OK) return status;
  dw_text_add(out, "<div class=\"cups\">\n");
  for (size_t i = 0; i < sheet->n; i++) put_cup(sheet, i, out);
  dw_text_add(out, "</div>\n");
  put_even(sheet, out);
  put_order(sheet, out);
  dw_text_add(out, "<h2>Notes</h2><div class=\"line\"></div><div class=\"line\"></div>\n<h2>Mind</h2>");
  dw__html_cautions(out);
  dw_text_add(out, "</body></html>\n");
  return out->failed ? dw_fail_memory(err, "the cup sheet") : DW_OK;
}
