/* The HTML report: one file, no script, nothing loaded from elsewhere; prints on paper too. */
#include "report/html.h"

#include "dropwise/report_found.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { JPEG_QUALITY = 82 };

/* Neutral grays around the colors that are to be compared, which touch (the practice of ISO 3664). */
static const char style_sheet[] =
    ":root{color-scheme:light "
    "dark;--paper:#c3c3c3;--sheet:#d9d9d9;--ink:#161616;--soft:#404040;--line:#8c8c8c}"
    "@media (prefers-color-scheme:dark){:root{--paper:#262626;--sheet:#333;--ink:#ededed;--soft:#bdbdbd;"
    "--line:#6b6b6b}}"
    "*{box-sizing:border-box}body{margin:0 auto;max-width:70rem;padding:1rem;background:var(--paper);"
    "color:var(--ink);font:16px/1.45 system-ui,sans-serif}"
    "h1{font-size:1.5rem;margin:.2rem 0 1rem}h2{font-size:1.1rem;margin:0 0 .6rem}h3{margin:.1rem "
    "0;font-size:1rem}"
    "section{background:var(--sheet);padding:1rem;margin:0 0 1rem}"
    ".photo{position:relative}.photo img,.photo svg{display:block;width:100%;height:auto}"
    ".photo svg{position:absolute;inset:0;height:100%}"
    "table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}"
    "th,td{padding:.35rem .5rem;text-align:right;border-bottom:1px solid var(--line)}"
    "th{font-weight:600;color:var(--soft)}th:first-child,td:first-child,.words{text-align:left}"
    ".scroll{overflow-x:auto}.swatch{display:inline-block;width:2.6rem;height:1.7rem;vertical-align:middle}"
    ".cups{display:grid;grid-template-columns:repeat(auto-fit,minmax(15rem,1fr));gap:1rem}"
    ".cup{border-top:3px solid var(--ink);padding:.8rem 0}.three{display:flex;margin:.5rem 0}"
    ".three span{flex:1;padding:0 .2rem;text-align:center;font-size:.85rem;color:var(--soft)}"
    ".three i{display:block;height:4.5rem}"
    ".do{font-size:1.25rem;font-weight:650;margin:.3rem 0}"
    ".note{border-left:4px solid var(--ink);padding-left:.6rem;font-weight:550}"
    ".soft{color:var(--soft)}ul{margin:.3rem 0 0;padding-left:1.2rem}"
    "@media print{body{background:#fff;color:#000}section{background:none;padding:0;break-inside:avoid}}";

void dw__html_color(dw_lab lab, dw_text *out) {
  uint8_t rgb[3];
  dw_srgb8_from_lab(lab, rgb);
  dw_text_add(out, "#%02x%02x%02x", rgb[0], rgb[1], rgb[2]);
}

void dw__html_notes(const dw_notes *notes, dw_text *out) {
  for (size_t i = 0; i < notes->n; i++) {
    dw_text_add(out, "<p class=\"note\">");
    dw_text_html(out, notes->text[i]);
    dw_text_add(out, "</p>\n");
  }
}

dw_status dw__html_image(const dw_preview *preview, dw_text *out, dw_error *err) {
  uint8_t *jpeg = NULL;
  size_t n = 0;
  dw_status status = dw_preview_jpeg(preview, JPEG_QUALITY, &jpeg, &n, err);
  if (status != DW_OK) return status;
  dw_text_add(out, "data:image/jpeg;base64,");
  dw_text_base64(out, jpeg, n);
  free(jpeg);
  return DW_OK;
}

dw_status dw__html_photo(const dw_preview *preview, dw_text *out, dw_error *err) {
  dw_text_add(out, "<section><h2>Photo</h2><div class=\"photo\"><img alt=\"The photo that was read\" src=\"");
  dw_status status = dw__html_image(preview, out, err);
  dw_text_add(out, "\">");
  return status;
}

static dw_status html_photo(const dw_html_report *report, dw_text *out, dw_error *err) {
  dw_status status = dw__html_photo(report->preview, out, err);
  if (status != DW_OK) return status;
  dw_svg_reading(report->reading, out);
  dw_text_add(out, "</div></section>\n");
  return DW_OK;
}

static void html_layer_row(const dw_layer_reading *layer, dw_text *out) {
  const dw_reading *r = &layer->reading;
  char words[64];
  dw_color_words(r->lab, words, sizeof words);
  dw_text_add(out, "<tr><td>");
  dw_text_html(out, layer->name);
  dw_text_add(out, "</td><td><span class=\"swatch\" style=\"background:");
  dw__html_color(r->lab, out);
  const double hue = dw_hue_shown(r->lch, 1, 0);
  dw_text_add(
      out, "\"></span></td><td class=\"words\">%s</td><td>%.2f</td><td>%.2f</td><td>%.2f</td><td>%.1f</td>",
      words, dw_rounded(r->lab.L, 2), dw_rounded(r->lab.a, 2), dw_rounded(r->lab.b, 2), r->lch.C);
  dw_text_add(out, isnan(hue) ? "<td>-</td>" : "<td>%.0f&deg;</td>", hue);
  dw_text_add(out, "<td>&plusmn;%.1f</td>", r->uncertainty_de00);
  const double shares[] = {r->shares.kept, r->shares.gloss, r->shares.flake, r->shares.shadow,
                           r->shares.clipped};
  for (size_t i = 0; i < sizeof shares / sizeof *shares; i++)
    dw_text_add(out, "<td>%.0f%%</td>", 100 * shares[i]);
  dw_text_add(out, "</tr>\n");
}

static void html_reading(const dw_photo_reading *reading, dw_text *out) {
  dw_text_add(
      out,
      "<section><h2>Layers as measured</h2><div class=\"scroll\"><table><thead><tr><th>Layer</th><th></th>"
      "<th class=\"words\">Color</th><th>L*</th><th>a*</th><th>b*</th><th>C*</th><th>h</th><th>Doubt</th>"
      "<th>Kept</th><th>Gloss</th><th>Flake</th><th>Dark</th><th>Clipped</th></tr></thead><tbody>\n");
  for (size_t i = 0; i < reading->n; i++) html_layer_row(&reading->layer[i], out);
  dw_text_add(out,
              "</tbody></table></div><p class=\"soft\">CIELAB, D50, 2 degree observer. Doubt is one standard "
              "deviation in CIEDE2000. Gloss, flake, dark (shadow) and clipped (too bright or too dark for "
              "the camera) pixels were set aside. Light: ");
  dw_text_html(out, reading->light.method_text);
  if (reading->light.method == DW_LIGHT_CARD)
    dw_text_add(out, ", off by %.1f on its patches (worst %.1f), by %.1f when each is left out (worst %.1f)",
                reading->light.residual.mean, reading->light.residual.max, reading->light.left_out.mean,
                reading->light.left_out.max);
  dw_text_add(out, ". Photo: ");
  dw_text_html(out, reading->path);
  dw_text_add(out, ", %d &times; %d, ", reading->photo.width, reading->photo.height);
  dw_text_html(out, reading->photo.profile);
  dw_text_add(out, ".</p>\n");
  dw__html_notes(&reading->light.notes, out);
  dw__html_notes(&reading->photo.notes, out);
  for (size_t i = 0; i < reading->n; i++) dw__html_notes(&reading->layer[i].reading.notes, out);
  dw_text_add(out, "</section>\n");
}

static void html_three_item(const char *label, dw_lab color, dw_text *out) {
  dw_text_add(out, "<span><i style=\"background:");
  dw__html_color(color, out);
  dw_text_add(out, "\"></i>%s<br>%.1f, %.1f, %.1f</span>", label, dw_rounded(color.L, 1),
              dw_rounded(color.a, 1), dw_rounded(color.b, 1));
}

static void html_proposal(const dw_html_report *report, const dw_advice *advice, bool first, dw_text *out) {
  dw_style style = {.color = false, .units = report->units};
  dw_text add = {0};
  const bool adds = advice->add.n > 0 || advice->add_clear_floz > 0;
  if (adds)
    dw_text_additions(report->request->shelf, &advice->add, advice->add_clear_floz, &style, first, &add);
  dw_text_add(out, first ? "<p class=\"do\">" : "<li>");
  dw_text_html(out, add.data ? add.data : "");
  dw_text_free(&add);
  if (adds) dw_text_add(out, first ? "</p><p>" : ": ");
  dw_text_html(out, advice->words);
  if (adds) dw_text_add(out, " It will then be %.2f from the color aimed for.", advice->predicted_de00);
  dw_text_add(out, first ? "</p>" : "</li>");
  if (first) dw__html_notes(&advice->notes, out);
}

/* What to do where additions don't help. */
static void html_instead(const dw_html_report *report, const dw_layer_state *state, dw_text *out) {
  if (state->n_instead) dw_text_add(out, "<p>Additions don't bring this cup near; better:</p><ul>");
  for (size_t i = 0; i < state->n_instead; i++) {
    dw_text words = {0};
    dw_text_instead(report->request->shelf, &state->instead[i], report->units, &words);
    dw_text_add(out, "<li class=\"instead\">");
    dw_text_html(out, words.data ? words.data : "");
    dw_text_add(out, "</li>");
    dw_text_free(&words);
  }
  if (state->n_instead) dw_text_add(out, "</ul><p>Or stay with it:</p>");
}

/* How far from its aim, which way, and where in its tone; what is left alone has nowhere to go. */
static void html_distance(const dw_advice_request *request, const dw_layer *layer,
                          const dw_layer_state *state, dw_text *out) {
  char words[DW_NOTE_TEXT];
  dw_way_words(state->now, state->aim, words, sizeof words);
  dw_text_add(out, "<p>%.2f from the %s", state->now_de00, dw_advice_aim_name(request, state));
  if (state->measured && state->now_de00 <= layer->measured_uncertainty_de00)
    dw_text_add(out, ": within what the photo can tell.</p>");
  else
    dw_text_add(out, "%s%s.</p>", state->leave ? "" : "; ", state->leave ? "" : words);
  if (!state->has_tone) return;
  dw_tone_words(layer->tone_name, state->now, &state->tone, words, sizeof words);
  dw_text_add(out, "<p>It is ");
  dw_text_html(out, words);
  dw_text_add(out, ".</p>");
}

static void html_cup(const dw_html_report *report, size_t layer, dw_text *out) {
  const dw_layer *l = &report->request->layer[layer];
  const dw_layer_state *state = &report->advice->state[layer];
  const dw_advice *best = NULL;
  for (size_t i = 0; i < report->advice->n && !best; i++)
    if (report->advice->advice[i].layer == layer) best = &report->advice->advice[i];
  char cup[256];
  dw_recipe_format(&l->cup.drops, report->request->shelf, cup, sizeof cup);
  dw_text_add(out, "<div class=\"cup\"><h3>");
  dw_text_html(out, l->name);
  dw_text_add(out, "</h3><span class=\"soft\">");
  dw_text_volume(l->cup.volume_floz, report->units, out);
  dw_text_add(out, ": %s</span><div class=\"three\">",
              *cup                 ? cup
              : state->cup_unknown ? "what is in it was not told"
                                   : "clear base");
  html_three_item(state->measured ? "measured" : "now", state->now, out);
  html_three_item(report->request->chroma_share > 0 ? "duller"
                  : state->leads                    ? "toward"
                                                    : "target",
                  state->aim, out);
  if (best) html_three_item("predicted", best->predicted.lab, out);
  dw_text_add(out, "</div>");
  html_distance(report->request, l, state, out);
  html_instead(report, state, out);
  if (best) html_proposal(report, best, true, out);
  dw_text_add(out, "<ul>");
  for (size_t i = 0; i < report->advice->n; i++)
    if (report->advice->advice[i].layer == layer && &report->advice->advice[i] != best)
      html_proposal(report, &report->advice->advice[i], false, out);
  dw_text_add(out, "</ul></div>\n");
}

static void html_advice(const dw_html_report *report, dw_text *out) {
  const char *warning = dw_shelf_warning(report->request->shelf);
  const dw_style style = {.color = false, .units = report->units};
  dw_text_add(out, "<section><h2>What to add</h2>");
  if (warning) dw_text_add(out, "<p class=\"note\">%s</p>", warning);
  dw_text_add(out, "<p class=\"soft\">");
  dw_text_judged(&report->request->slab, &style, out);
  dw_text_add(out, "</p><div class=\"cups\">\n");
  for (size_t i = 0; i < report->request->n; i++) html_cup(report, i, out);
  dw_text_add(out, "</div>\n");
  dw__html_notes(&report->advice->notes, out);
  dw_text_add(out, "</section>\n");
}

void dw__html_head(const char *title, const char *kind, dw__html_style how, const char *style, dw_text *out) {
  dw_text_add(out, "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
                   "content=\"width=device-width,initial-scale=1\"><title>");
  dw_text_html(out, title);
  if (kind) dw_text_add(out, ": %s", kind);
  dw_text_add(out,
              how == DW__STYLE_ADDRESS ? "</title><link rel=\"stylesheet\" href=\"%s\"></head><body>\n"
                                       : "</title><style>%s</style></head><body>\n",
              style);
}

void dw__html_begin(const char *title, dw_text *out) {
  dw__html_head(title, NULL, DW__STYLE_TEXT, style_sheet, out);
  dw_text_add(out, "<h1>");
  dw_text_html(out, title);
  dw_text_add(out, "</h1>\n");
}

void dw__html_cautions(dw_text *out) {
  dw_text_add(out, "<ul>");
  for (size_t i = 0; i < dw_caution_count; i++) {
    dw_text_add(out, "<li>");
    dw_text_html(out, dw_cautions[i]);
    dw_text_add(out, "</li>");
  }
  dw_text_add(out, "</ul>");
}

dw_status dw_html_write(const dw_html_report *report, dw_text *out, dw_error *err) {
  dw__html_begin(report->title, out);
  if (report->request && report->advice) html_advice(report, out);
  if (report->reading) {
    html_reading(report->reading, out);
    if (report->preview) {
      dw_status status = html_photo(report, out, err);
      if (status != DW_OK) return status;
    }
  }
  dw_text_add(out, "<section><h2>Mind</h2>");
  dw__html_cautions(out);
  dw_text_add(out, "</section></body></html>\n");
  return out->failed ? dw_fail_memory(err, "the HTML report") : DW_OK;
}
