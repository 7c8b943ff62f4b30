/* What was found, as SVG over the photo. */
#include "report/found_drawing.h"
#include "report/html.h"

typedef struct paper {
  dw_text *out;
  double unit; /* photo pixels of a hair line */
} paper;

static const struct {
  double width; /* in units */
  const char *more;
} style_of[] = {[DW__LINE_CARD] = {1, " stroke-dasharray=\"6 4\""},
                [DW__LINE_OUTLINE] = {1.5, ""},
                [DW__LINE_AXIS] = {.7, " stroke-dasharray=\"2 4\""},
                [DW__LINE_BORDER] = {1, ""}};

/* Light on dark, so that it shows on any color. */
static void line_add(void *ctx, dw__line kind, const double *xy, size_t n, bool closed) {
  paper *p = ctx;
  for (int light = 0; light < 2; light++) {
    dw_text_add(p->out, "<%s points=\"", closed ? "polygon" : "polyline");
    for (size_t i = 0; i < n; i++) dw_text_add(p->out, "%.1f,%.1f ", xy[2 * i], xy[2 * i + 1]);
    dw_text_add(p->out, "\" fill=\"none\" stroke=\"%s\" stroke-width=\"%.2f\"%s/>", light ? "#fff" : "#000",
                p->unit * style_of[kind].width * (light ? 1 : 2.2), light ? style_of[kind].more : "");
  }
}

static void label_add(void *ctx, double x, double y, const char *text, bool large) {
  paper *p = ctx;
  double size = p->unit * (large ? 14 : 9);
  dw_text_add(p->out,
              "<text x=\"%.1f\" y=\"%.1f\" font-size=\"%.1f\" text-anchor=\"middle\" "
              "dominant-baseline=\"central\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"%.1f\" "
              "paint-order=\"stroke\">",
              x, y, size, size / 6);
  dw_text_html(p->out, text);
  dw_text_add(p->out, "</text>");
}

/* One <svg> element; its end is the caller's to add. */
static paper svg_begin(const dw_photo_reading *reading, const char *shows, dw_text *out) {
  dw_text_add(out,
              "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\" "
              "aria-label=\"%s\" font-family=\"sans-serif\" font-weight=\"600\">",
              reading->photo.width, reading->photo.height, shows);
  return (paper){out, dw__found_unit(&reading->photo)};
}

void dw_svg_found(const dw_found *found, const dw_find_wish *wish, dw_text *out) {
  paper p = svg_begin(&found->reading, "Card and baits as found", out);
  const dw__pen pen = {&p, line_add, label_add};
  dw__found_draw(found, wish, &pen);
  dw_text_add(out, "</svg>");
}

void dw_svg_reading(const dw_photo_reading *reading, dw_text *out) {
  paper p = svg_begin(reading, "Card and layers as marked", out);
  const dw__pen pen = {&p, line_add, label_add};
  dw__reading_draw(reading, &pen);
  dw_text_add(out, "</svg>");
}

/* An SVG file with the photo in it; what lies over the photo and the end are the caller's to add. */
static dw_status photo_begin(const dw_photo_info *photo, const dw_preview *preview, dw_text *out,
                             dw_error *err) {
  int w = photo->width, h = photo->height;
  dw_text_add(out,
              "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\">"
              "<image width=\"%d\" height=\"%d\" href=\"",
              w, h, preview->width, preview->height, w, h);
  dw_status status = dw__html_image(preview, out, err);
  if (status == DW_OK) dw_text_add(out, "\"/>");
  return status;
}

static dw_status photo_end(dw_text *out, dw_error *err) {
  dw_text_add(out, "</svg>\n");
  return out->failed ? dw_fail_memory(err, "the picture") : DW_OK;
}

dw_status dw_svg_found_photo(const dw_found *found, const dw_find_wish *wish, const dw_preview *preview,
                             dw_text *out, dw_error *err) {
  dw_status status = photo_begin(&found->reading.photo, preview, out, err);
  if (status != DW_OK) return status;
  dw_svg_found(found, wish, out);
  return photo_end(out, err);
}

dw_status dw_svg_reading_photo(const dw_photo_reading *reading, const dw_preview *preview, dw_text *out,
                               dw_error *err) {
  dw_status status = photo_begin(&reading->photo, preview, out, err);
  if (status != DW_OK) return status;
  dw_svg_reading(reading, out);
  return photo_end(out, err);
}
