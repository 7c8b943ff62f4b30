/* What was found in a photo, as one HTML file. */
#include "dropwise/report_found.h"
#include "report/html.h"

#include <math.h>

#define PROFILE_WIDTH 360.0
#define PROFILE_HEIGHT 110.0
#define PROFILE_BAR 16.0 /* the colors themselves, below the curves */

/* L* from 0 to 100, a* and b* from -100 to 100, all on one height. */
static double height_of(const dw_lab *lab, int part) {
  double share = part == 0 ? lab->L / 100 : ((part == 1 ? lab->a : lab->b) + 100) / 200;
  return (PROFILE_HEIGHT - PROFILE_BAR - 8) * (1 - fmin(fmax(share, 0), 1)) + 4;
}

static void curve_add(const dw_bait *bait, int part, dw_text *out) {
  static const char *const dash[] = {"", " stroke-dasharray=\"7 3\"", " stroke-dasharray=\"2 3\""};
  static const char *const name[] = {"L*", "a*", "b*"};
  const double step = PROFILE_WIDTH / DW_BAIT_PROFILE;
  dw_text_add(out, "<polyline points=\"");
  for (size_t i = 0; i < DW_BAIT_PROFILE; i++)
    dw_text_add(out, "%.1f,%.1f ", ((double)i + .5) * step, height_of(&bait->profile[i], part));
  dw_text_add(out, "\"%s/><text x=\"%.0f\" y=\"%.1f\" stroke=\"none\" fill=\"currentColor\">%s</text>",
              dash[part], PROFILE_WIDTH + 5, height_of(&bait->profile[DW_BAIT_PROFILE - 1], part) + 4,
              name[part]);
}

/* Across the body, the back left. */
static void profile_add(const dw_bait *bait, dw_text *out) {
  const double step = PROFILE_WIDTH / DW_BAIT_PROFILE;
  dw_text_add(out,
              "<svg viewBox=\"0 0 %.0f %.0f\" style=\"max-width:30rem\" role=\"img\" "
              "aria-label=\"Color across the body, from the back on the left to the belly\" font-size=\"12\" "
              "font-family=\"system-ui,sans-serif\" stroke=\"currentColor\" fill=\"none\">",
              PROFILE_WIDTH + 26, PROFILE_HEIGHT);
  for (size_t i = 0; i < DW_BAIT_PROFILE; i++) {
    dw_text_add(out, "<rect x=\"%.2f\" y=\"%.0f\" width=\"%.2f\" height=\"%.0f\" stroke=\"none\" fill=\"",
                (double)i * step, PROFILE_HEIGHT - PROFILE_BAR, step + .3, PROFILE_BAR);
    dw__html_color(bait->profile[i], out);
    dw_text_add(out, "\"/>");
  }
  for (int part = 0; part < 3; part++) curve_add(bait, part, out);
  for (size_t k = 0; k + 1 < bait->n; k++)
    dw_text_add(out, "<line x1=\"%.1f\" x2=\"%.1f\" y1=\"0\" y2=\"%.0f\" stroke-opacity=\".5\"/>",
                PROFILE_WIDTH * bait->blend[k].at, PROFILE_WIDTH * bait->blend[k].at, PROFILE_HEIGHT);
  dw_text_add(out, "</svg>");
}

static void layer_row(const dw_bait *bait, const dw_find_wish *wish, size_t i, dw_text *out) {
  const dw_reading *r = &bait->layer[i].reading;
  char words[64];
  dw_color_words(r->lab, words, sizeof words);
  dw_text_add(out, "<tr><td>");
  dw_text_html(out, dw_find_layer_name(wish, i, bait->n));
  dw_text_add(out, "</td><td><span class=\"swatch\" style=\"background:");
  dw__html_color(r->lab, out);
  dw_text_add(out,
              "\"></span></td><td class=\"words\">%s</td><td>%.0f%%</td><td>%.2f</td><td>%.2f</td><td>%.2f"
              "</td><td>&plusmn;%.1f</td></tr>\n",
              words, 100 * bait->layer[i].share, dw_rounded(r->lab.L, 2), dw_rounded(r->lab.a, 2),
              dw_rounded(r->lab.b, 2), r->uncertainty_de00);
}

static void layer_notes(const dw_bait *bait, const dw_find_wish *wish, size_t i, dw_text *out) {
  const dw_notes *notes = &bait->layer[i].reading.notes;
  for (size_t k = 0; k < notes->n; k++) {
    dw_text_add(out, "<p class=\"note\">");
    dw_text_html(out, dw_find_layer_name(wish, i, bait->n));
    dw_text_add(out, ": ");
    dw_text_html(out, notes->text[k]);
    dw_text_add(out, "</p>\n");
  }
}

/* Where layer k and the next one meet.  size  NULL: not known */
static void blend_add(const dw_bait *bait, const dw_find_wish *wish, size_t k, const dw_bait_size *size,
                      dw_text *out) {
  dw_text_add(out, "<p>");
  dw_text_html(out, dw_find_layer_name(wish, k, bait->n));
  dw_text_add(out, " and ");
  dw_text_html(out, dw_find_layer_name(wish, k + 1, bait->n));
  dw_text_add(out, " blend over %.0f%% of the height", 100 * bait->blend[k].width_share);
  if (size) dw_text_add(out, ", %.1f mm", size->blend_mm[k]);
  dw_text_add(out, ".</p>");
}

static void bait_add(const dw_found *found, size_t at, const dw_find_wish *wish, dw_text *out) {
  dw_bait_size size;
  const dw_bait *bait = &found->baits.bait[at];
  const bool sized = dw_bait_size_get(found, wish, bait, &size);
  dw_text_add(out,
              "<section><h2>Bait %zu</h2><div class=\"scroll\"><table><thead><tr><th>Layer</th><th></th>"
              "<th class=\"words\">Color</th><th>Share</th><th>L*</th><th>a*</th><th>b*</th><th>Doubt</th>"
              "</tr></thead><tbody>\n",
              at + 1);
  for (size_t i = 0; i < bait->n; i++) layer_row(bait, wish, i, out);
  dw_text_add(out, "</tbody></table></div>");
  if (sized)
    dw_text_add(out, "<p>Its body is %.1f mm long and %.1f mm high.</p>", size.length_mm, size.height_mm);
  for (size_t i = 0; i + 1 < bait->n; i++) blend_add(bait, wish, i, sized ? &size : NULL, out);
  profile_add(bait, out);
  dw__html_notes(&bait->notes, out);
  for (size_t i = 0; i < bait->n; i++) layer_notes(bait, wish, i, out);
  dw_text_add(out, "</section>\n");
}

dw_status dw_html_found(const dw_found *found, const dw_find_wish *wish, const dw_preview *preview,
                        dw_text *out, dw_error *err) {
  dw__html_begin("Baits found", out);
  dw_status status = dw__html_photo(preview, out, err);
  if (status != DW_OK) return status;
  dw_svg_found(found, wish, out);
  dw_text_add(out, "</div></section>\n");
  dw_text_add(out, "<section><p class=\"soft\">");
  dw_text_html(out, found->reading.path);
  dw_text_add(out, ". CIELAB, D50, 2 degree observer; doubt is one standard deviation in CIEDE2000. Light: ");
  dw_text_html(out, found->reading.light.method_text);
  dw_text_add(out, ".</p>");
  dw__html_notes(&found->reading.light.notes, out);
  dw__html_notes(&found->reading.photo.notes, out);
  dw__html_notes(&found->baits.notes, out);
  dw_text_add(out, "</section>\n");
  for (size_t i = 0; i < found->baits.n; i++) bait_add(found, i, wish, out);
  dw_text_add(out, "<section><h2>Mind</h2>");
  dw__html_cautions(out);
  dw_text_add(out, "</section></body></html>\n");
  return out->failed ? dw_fail_memory(err, "the HTML report") : DW_OK;
}
