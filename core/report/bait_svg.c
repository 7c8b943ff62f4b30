/* The bait as a picture: its layers, their blends in the colors predicted, over a light and a dark bottom.
 *
 * Every layer is painted from its border down to the belly, over the one before. A border is not one line but
 * a dozen, each a little further into the next layer and in the blend's color there, and none of them
 * straight: they follow the body and waver, as plastic does that met in a mold. Thin edges let the bottom
 * through. */
#include "report/bait_drawing.h"
#include "report/html.h"

#include <stdlib.h>

/* ---- layers ----------------------------------------------------------------------------------------------- */

/* From where a band begins down to below the belly, as path data. */
static void put_region(const dw__bait_drawing *d, size_t border, int band, dw_text *out) {
  for (int i = 0; i < DW__PROFILE_POINTS; i++) {
    const double x = i * (double)DW__BAIT_WIDTH / (DW__PROFILE_POINTS - 1);
    const double top = d->profile.top[i], bottom = d->profile.bottom[i];
    dw_text_add(out, "%s%.0f,%.1f", i ? "L" : "M", x,
                top + dw__bait_band_at(d, border, band, x) * (bottom - top));
  }
  dw_text_add(out, "V%dH0Z", DW__BAIT_HEIGHT);
}

static void put_layers(const dw__bait_drawing *d, const dw_blends *over, dw_text *out) {
  dw_text_add(out, "<rect width=\"%d\" height=\"%d\" fill=\"", DW__BAIT_WIDTH, DW__BAIT_HEIGHT);
  dw__html_color(over->between[0].end[0].lab, out);
  dw_text_add(out, "\"/>");
  for (size_t border = 0; border + 1 < over->n; border++)
    for (int band = 0; band < DW__BANDS; band++) {
      dw_text_add(out, "<path fill=\"");
      dw__html_color(dw__bait_band_color(over, border, band), out);
      dw_text_add(out, "\" d=\"");
      put_region(d, border, band, out);
      dw_text_add(out, "\"/>");
    }
}

/* ---- the body ---------------------------------------------------------------------------------------------
 */

/* The silhouette with all its parts. */
static void put_use(const char *id, const char *attributes, dw_text *out) {
  dw_text_add(out, "<use href=\"#%s-o\" %s/>", id, attributes);
}

/* Thin edges that let the bottom through, roundness, a gleam along the back, creases and the eye. */
static void put_relief(const dw__bait_drawing *d, const dw_blends *over, int i, dw_text *out) {
  const char *id = d->id;
  const double *eye = d->outline->eye;
  dw_text_add(out, "<g opacity=\"%.2f\" filter=\"url(#%s-r%d)\">", dw__bait_thin(d, over), id, i);
  put_use(id, "", out);
  dw_text_add(out, "</g><g opacity=\"%.2f\" filter=\"url(#%s-e)\">", DW__ROUND, id);
  dw_text_add(out, "<use href=\"#%s-o\" transform=\"translate(0 %.0f)\"/>", id, -DW__ROUND_UP);
  dw_text_add(out, "</g><g filter=\"url(#%s-s)\">", id);
  dw_text_add(out,
              "<use href=\"#%s-b\" fill=\"none\" stroke=\"url(#%s-g)\" stroke-width=\"5\" "
              "transform=\"translate(4 12)\"/>",
              id, id);
  dw_text_add(
      out, "</g><path fill=\"none\" d=\"%s\" stroke=\"#000\" stroke-width=\"1.6\" stroke-opacity=\".28\"/>",
      d->outline->creases);
  if (eye[2] > 0)
    dw_text_add(
        out,
        "<circle cx=\"%.0f\" cy=\"%.0f\" r=\"%.0f\" fill=\"#111\" fill-opacity=\"%.2f\"/><circle cx=\"%.1f\" "
        "cy=\"%.1f\" r=\"%.1f\" fill=\"#fff\" fill-opacity=\"%.2f\"/>",
        eye[0], eye[1], eye[2], DW__EYE, eye[0] + DW__EYE_GLEAM_X * eye[2], eye[1] + DW__EYE_GLEAM_Y * eye[2],
        DW__EYE_GLEAM_RADIUS * eye[2], DW__EYE_GLEAM);
}

static void put_ground(const dw__bait_drawing *d, int i, dw_text *out) {
  const dw_blends *over = &d->over[i];
  const char *id = d->id;
  const int ink = dw__bait_ink(over);
  char words[DW__BAIT_WORDS_ROOM];
  dw_text_add(out, "<g transform=\"translate(0 %d)\"><rect width=\"%d\" height=\"%d\" fill=\"",
              i * DW__BAIT_HEIGHT, DW__BAIT_WIDTH, DW__BAIT_HEIGHT);
  dw__html_color(dw__bait_ground(over), out);
  dw_text_add(out, "\"/><g filter=\"url(#%s-d)\">", id);
  dw_text_add(out,
              "<use href=\"#%s-o\" fill=\"#000\" fill-opacity=\"%.1f\" transform=\"translate(%.0f %.0f)\"/>",
              id, DW__SHADOW, DW__SHADOW_X, DW__SHADOW_Y);
  dw_text_add(out, "</g><g clip-path=\"url(#%s-c)\"><g filter=\"url(#%s-f)\">", id, id);
  put_layers(d, over, out);
  dw_text_add(out, "</g>");
  put_relief(d, over, i, out);
  dw__bait_words(d, over, words);
  dw_text_add(out,
              "</g><text x=\"10\" y=\"%d\" font-size=\"13\" font-family=\"system-ui,sans-serif\" "
              "fill=\"#%02x%02x%02x\">",
              DW__BAIT_HEIGHT - 9, ink, ink, ink);
  dw_text_html(out, words);
  dw_text_add(out, "</text></g>");
}

/* ---- the whole -------------------------------------------------------------------------------------------
 */

static void put_parts(const dw__bait_drawing *d, size_t n, dw_text *out) {
  for (size_t i = 0; i < n; i++) dw__bait_part_path(&d->outline->part[i], out);
}

static void put_blur(const char *id, char name, double blur, dw_text *out) {
  dw_text_add(out,
              "<filter id=\"%s-%c\" x=\"-5%%\" y=\"-20%%\" width=\"110%%\" height=\"140%%\"><feGaussianBlur "
              "stdDeviation=\"%.1f\"/></filter>",
              id, name, blur);
}

/* What lies outside the silhouette, softly, in one color: inside the outline that is its rim. */
static void put_rim(const char *id, const char *name, double blur, dw_lab color, dw_text *out) {
  dw_text_add(
      out,
      "<filter id=\"%s-%s\" filterUnits=\"userSpaceOnUse\" x=\"0\" y=\"0\" width=\"%d\" height=\"%d\">"
      "<feGaussianBlur stdDeviation=\"%.1f\" result=\"soft\"/><feFlood flood-color=\"",
      id, name, DW__BAIT_WIDTH, DW__BAIT_HEIGHT, blur);
  dw__html_color(color, out);
  dw_text_add(out, "\"/><feComposite in2=\"soft\" operator=\"out\"/></filter>");
}

static void put_defs(const dw__bait_drawing *d, dw_text *out) {
  const char *id = d->id;
  dw_text_add(out, "<defs><g id=\"%s-b\">", id);
  put_parts(d, 1, out);
  dw_text_add(out, "</g><g id=\"%s-o\">", id);
  put_parts(d, d->outline->n_parts, out);
  dw_text_add(out, "</g><clipPath id=\"%s-c\">", id);
  put_parts(d, d->outline->n_parts, out);
  dw_text_add(out, "</clipPath>");
  put_blur(id, 'f', 1.6, out);
  put_blur(id, 's', 4.5, out);
  put_blur(id, 'd', DW__SHADOW_BLUR, out);
  dw_text_add(
      out,
      "<linearGradient id=\"%s-g\" gradientUnits=\"userSpaceOnUse\" x1=\"0\" x2=\"0\" y1=\"55\" y2=\"100\">"
      "<stop stop-color=\"#fff\" stop-opacity=\".5\"/><stop offset=\"1\" stop-color=\"#fff\" "
      "stop-opacity=\"0\"/></linearGradient>",
      id);
  put_rim(id, "r0", DW__THIN_BLUR, dw__bait_ground(&d->over[0]), out);
  put_rim(id, "r1", DW__THIN_BLUR, dw__bait_ground(&d->over[1]), out);
  put_rim(id, "e", DW__ROUND_BLUR, (dw_lab){0}, out);
  dw_text_add(out, "</defs>");
}

static void put_bait(const dw__bait_drawing *d, size_t column, dw_text *out) {
  put_defs(d, out);
  if (column)
    dw_text_add(out, "<g transform=\"translate(%zu 0)\">", column * (DW__BAIT_WIDTH + DW__BAIT_GAP));
  for (int i = 0; i < DW__GROUNDS; i++) put_ground(d, i, out);
  if (column) dw_text_add(out, "</g>");
}

static void put_title(const dw__bait_drawing *drawings, size_t n, dw_text *out) {
  dw_text_add(out, "<title>The bait as predicted, over a light and a dark bottom");
  for (size_t i = 0; i < n; i++) {
    if (!*drawings[i].title) continue;
    dw_text_add(out, "%s", i ? ", " : ": ");
    dw_text_html(out, drawings[i].title);
  }
  dw_text_add(out, "</title>");
}

dw_status dw_svg_baits(const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                       const dw_bait_picture *picture, dw_text *out, dw_error *err) {
  dw__bait_drawing *drawings = NULL;
  dw_status status = dw__bait_drawings_make(shelf, views, n, picture, &drawings, err);
  if (status != DW_OK) return status;
  dw_text_add(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %zu %d\" role=\"img\">",
              n * DW__BAIT_WIDTH + (n - 1) * DW__BAIT_GAP, DW__GROUNDS * DW__BAIT_HEIGHT);
  put_title(drawings, n, out);
  for (size_t i = 0; i < n; i++) put_bait(&drawings[i], i, out);
  dw_text_add(out, "</svg>\n");
  free(drawings);
  return out->failed ? dw_fail_memory(err, "the picture") : DW_OK;
}

dw_status dw_svg_bait(const dw_shelf *shelf, const dw_blends *blends, const dw_bait_picture *picture,
                      dw_text *out, dw_error *err) {
  return dw_svg_baits(shelf, &(dw_bait_view){blends, NULL}, 1, picture, out, err);
}
