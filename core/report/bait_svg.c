/* The bait as a picture: its layers, their blends in the colors predicted, over a light and a dark bottom.
 *
 * Every layer is painted from its border down to the belly, over the one before. A border is not one line but
 * a dozen, each a little further into the next layer and in the blend's color there, and none of them
 * straight: they follow the body and waver, as plastic does that met in a mold. Thin edges let the bottom
 * through. */
#include "report/bait_outline.h"
#include "report/html.h"

#include <math.h>
#include <stdlib.h>

enum { BANDS = 12, GROUNDS = 2 };
#define THIN_MOST 0.9 /* how far a clear bait fades at its edges */
#define PI 3.14159265358979323846
#define BLEND_HALF 0.50 /* half the width of a blend, in shares of the slimmer neighbor */
#define BLEND_MOST 0.15 /* and of the body's height at most */

typedef struct drawing {
  const dw_bait_picture *picture;
  const dw_blends *over; /* GROUNDS of them, the light bottom first */
  const dw__bait_outline *outline;
  dw__profile profile;
  double border[DW_BLEND_LAYERS_MAX]; /* where layer i ends, 0 back to 1 belly */
} drawing;

/* ---- colors and borders -----------------------------------------------------------------------------------
 */

static dw_lab between(dw_lab a, dw_lab b, double t) {
  return (dw_lab){a.L + t * (b.L - a.L), a.a + t * (b.a - a.a), a.b + t * (b.b - a.b)};
}

/* The blend at any share, on lines between the colors that are predicted. */
static dw_lab blend_at(const dw_blend *blend, double share) {
  const dw_lab knot[5] = {blend->end[0].lab, blend->step[0].lab, blend->step[1].lab, blend->step[2].lab,
                          blend->end[1].lab};
  const int i = (int)fmin(3, floor(4 * share));
  return between(knot[i], knot[i + 1], 4 * share - i);
}

static double half_width(const drawing *d, size_t border) {
  const double *share = d->picture->share;
  return fmin(BLEND_MOST, BLEND_HALF * fmin(share[border], share[border + 1]));
}

/* Height on the body, 0 back to 1 belly, of a line `into` (-1 to 1) a border, at x. */
static double height_at(const drawing *d, size_t border, double into, double x) {
  const double phase = 2.1 * (double)border, turn = 2 * PI * x / DW__BAIT_WIDTH;
  const double waver = 0.020 * sin(2.3 * turn + phase) + 0.012 * sin(5.9 * turn + 1.7 * phase + 0.8 * into) +
                       0.006 * sin(13.0 * turn + 2.9 * phase + 1.9 * into);
  const double width = 1 + 0.35 * sin(1.6 * turn + 0.7 + phase);
  return d->border[border] + waver + into * width * half_width(d, border);
}

/* From that line down to below the belly, as path data. */
static void put_region(const drawing *d, size_t border, double into, dw_text *out) {
  for (int i = 0; i < DW__PROFILE_POINTS; i++) {
    const double x = i * (double)DW__BAIT_WIDTH / (DW__PROFILE_POINTS - 1);
    const double top = d->profile.top[i], bottom = d->profile.bottom[i];
    dw_text_add(out, "%s%.0f,%.1f", i ? "L" : "M", x, top + height_at(d, border, into, x) * (bottom - top));
  }
  dw_text_add(out, "V%dH0Z", DW__BAIT_HEIGHT);
}

static void put_layers(const drawing *d, const dw_blends *over, dw_text *out) {
  dw_text_add(out, "<rect width=\"%d\" height=\"%d\" fill=\"", DW__BAIT_WIDTH, DW__BAIT_HEIGHT);
  dw__html_color(over->between[0].end[0].lab, out);
  dw_text_add(out, "\"/>");
  for (size_t border = 0; border + 1 < over->n; border++)
    for (int k = 1; k <= BANDS; k++) {
      dw_text_add(out, "<path fill=\"");
      dw__html_color(blend_at(&over->between[border], k / (double)BANDS), out);
      dw_text_add(out, "\" d=\"");
      put_region(d, border, 2.0 * k / BANDS - 1, out);
      dw_text_add(out, "\"/>");
    }
}

static dw_lab ground_of(const dw_blends *over) {
  const double r = over->slab.backing;
  return dw_lab_from_xyz((dw_xyz){r * DW_D50_X, r, r * DW_D50_Z});
}

/* ---- the body ---------------------------------------------------------------------------------------------
 */

static double mean_contrast(const dw_blends *over, const double *share) {
  double sum = 0, all = 0;
  for (size_t i = 0; i < over->n; i++) {
    const dw_blend *blend = &over->between[i ? i - 1 : 0];
    sum += share[i] * blend->end[i ? 1 : 0].see_through, all += share[i];
  }
  return sum / all;
}

/* The silhouette with all its parts. */
static void put_use(const char *id, const char *attributes, dw_text *out) {
  dw_text_add(out, "<use href=\"#%s-o\" %s/>", id, attributes);
}

/* Thin edges that let the bottom through, roundness, a gleam along the back, creases and the eye. */
static void put_relief(const drawing *d, const dw_blends *over, int i, dw_text *out) {
  const char *id = d->picture->id;
  const double *eye = d->outline->eye;
  dw_text_add(out, "<g opacity=\"%.2f\" filter=\"url(#%s-r%d)\">",
              THIN_MOST * (1 - mean_contrast(over, d->picture->share)), id, i);
  put_use(id, "", out);
  dw_text_add(out, "</g><g opacity=\".38\" filter=\"url(#%s-e)\">", id);
  put_use(id, "transform=\"translate(0 -4)\"", out);
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
        "<circle cx=\"%.0f\" cy=\"%.0f\" r=\"%.0f\" fill=\"#111\" fill-opacity=\".85\"/><circle cx=\"%.1f\" "
        "cy=\"%.1f\" r=\"%.1f\" fill=\"#fff\" fill-opacity=\".8\"/>",
        eye[0], eye[1], eye[2], eye[0] - 0.3 * eye[2], eye[1] - 0.35 * eye[2], 0.28 * eye[2]);
}

static void put_ground(const drawing *d, int i, dw_text *out) {
  const dw_blends *over = &d->over[i];
  const char *id = d->picture->id;
  const dw_lab ground = ground_of(over);
  dw_text_add(out, "<g transform=\"translate(0 %d)\"><rect width=\"%d\" height=\"%d\" fill=\"",
              i * DW__BAIT_HEIGHT, DW__BAIT_WIDTH, DW__BAIT_HEIGHT);
  dw__html_color(ground, out);
  dw_text_add(out, "\"/><g filter=\"url(#%s-d)\">", id);
  put_use(id, "fill=\"#000\" fill-opacity=\".3\" transform=\"translate(3 7)\"", out);
  dw_text_add(out, "</g><g clip-path=\"url(#%s-c)\"><g filter=\"url(#%s-f)\">", id, id);
  put_layers(d, over, out);
  dw_text_add(out, "</g>");
  put_relief(d, over, i, out);
  dw_text_add(
      out,
      "</g><text x=\"10\" y=\"%d\" font-size=\"13\" font-family=\"system-ui,sans-serif\" fill=\"%s\">over ",
      DW__BAIT_HEIGHT - 9, ground.L > 50 ? "#222" : "#eee");
  dw_text_add(out, "%s bottom</text></g>", ground.L > 50 ? "a light" : "a dark");
}

/* ---- the whole -------------------------------------------------------------------------------------------
 */

static void put_parts(const drawing *d, size_t n, dw_text *out) {
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

static void put_defs(const drawing *d, dw_text *out) {
  const char *id = d->picture->id;
  dw_text_add(out, "<defs><g id=\"%s-b\">", id);
  put_parts(d, 1, out);
  dw_text_add(out, "</g><g id=\"%s-o\">", id);
  put_parts(d, d->outline->n_parts, out);
  dw_text_add(out, "</g><clipPath id=\"%s-c\">", id);
  put_parts(d, d->outline->n_parts, out);
  dw_text_add(out, "</clipPath>");
  put_blur(id, 'f', 1.6, out);
  put_blur(id, 's', 4.5, out);
  put_blur(id, 'd', 7, out);
  dw_text_add(
      out,
      "<linearGradient id=\"%s-g\" gradientUnits=\"userSpaceOnUse\" x1=\"0\" x2=\"0\" y1=\"55\" y2=\"100\">"
      "<stop stop-color=\"#fff\" stop-opacity=\".5\"/><stop offset=\"1\" stop-color=\"#fff\" "
      "stop-opacity=\"0\"/></linearGradient>",
      id);
  put_rim(id, "r0", 8, ground_of(&d->over[0]), out);
  put_rim(id, "r1", 8, ground_of(&d->over[1]), out);
  put_rim(id, "e", 5, (dw_lab){0}, out);
  dw_text_add(out, "</defs>");
}

static void find_borders(drawing *d) {
  double all = 0, sum = 0;
  for (size_t i = 0; i < d->over[0].n; i++) all += d->picture->share[i];
  for (size_t i = 0; i < d->over[0].n; i++) d->border[i] = (sum += d->picture->share[i]) / all;
}

static void put_bait(const dw_bait_picture *picture, const dw_blends *over, dw_text *out) {
  drawing d = {.picture = picture, .over = over, .outline = dw__bait_outline_of(picture->outline)};
  dw__bait_profile(d.outline, &d.profile);
  find_borders(&d);
  dw_text_add(
      out,
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\"><title>The bait as "
      "predicted, over a light and a dark bottom</title>",
      DW__BAIT_WIDTH, GROUNDS * DW__BAIT_HEIGHT);
  put_defs(&d, out);
  for (int i = 0; i < GROUNDS; i++) put_ground(&d, i, out);
  dw_text_add(out, "</svg>\n");
}

dw_status dw_svg_bait(const dw_shelf *shelf, const dw_blends *blends, const dw_bait_picture *picture,
                      dw_text *out, dw_error *err) {
  const double backing[GROUNDS] = {DW_BACKING_WHITE, DW_BACKING_BLACK};
  dw_blends *over = calloc(GROUNDS, sizeof *over);
  if (!over) return dw_fail_memory(err, "the picture");
  dw_status status = DW_OK;
  for (int i = 0; status == DW_OK && i < GROUNDS; i++)
    status = dw_blends_over(shelf, blends, backing[i], &over[i], err);
  if (status == DW_OK) put_bait(picture, over, out);
  free(over);
  return status == DW_OK && out->failed ? dw_fail_memory(err, "the picture") : status;
}
