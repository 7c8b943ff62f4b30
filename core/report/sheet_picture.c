#include "report/sheet_picture.h"

#include "dropwise/report_blend.h"
#include "report/html.h"

#include <stdlib.h>
#include <string.h>

/* ---- the bait ------------------------------------------------------------------------------------------ */

/* A cup as a layer of the picture; a layer in clear base alone has nothing to show but itself. */
static dw_status layer_of(const dw_sheet *sheet, const dw_sheet_cup *cup, dw_blend_layer *out,
                          dw_error *err) {
  dw_copy_text(out->name, sizeof out->name, cup->layer);
  return dw_blend_cup(sheet->shelf, &sheet->slab, &cup->cup, cup->measured ? &cup->color : NULL, out, err);
}

static void share_of(const dw_sheet *sheet, const dw_sheet_look *look, double *share) {
  for (size_t i = 0; i < sheet->n; i++)
    share[i] = look->share[0] > 0 ? look->share[i] : 1.0 / (double)sheet->n;
}

static dw_status draw(const dw_sheet *sheet, const dw_sheet_look *look, const dw_blends *blends, dw_text *out,
                      dw_error *err) {
  dw_bait_picture picture = {.id = "sheet", .outline = look->outline};
  share_of(sheet, look, picture.share);
  return dw_svg_bait(sheet->shelf, blends, &picture, out, err);
}

dw_status dw__sheet_bait(const dw_sheet *sheet, const dw_sheet_look *look, dw_text *out, dw_error *err) {
  dw_error why = {0};
  dw_status status = DW_OK;
  if (sheet->n < 2 || sheet->n > DW_BLEND_LAYERS_MAX) return DW_OK;
  for (size_t i = 0; i < sheet->n; i++)
    if (!sheet->cup[i].has_color) return DW_OK;
  dw_blends *blends = calloc(1, sizeof *blends);
  if (!blends) return dw_fail_memory(err, "the picture");
  blends->slab = sheet->slab;
  for (; status == DW_OK && blends->n < sheet->n; blends->n++)
    status = layer_of(sheet, &sheet->cup[blends->n], &blends->layer[blends->n], &why);
  if (status == DW_OK) status = dw_blends_work(sheet->shelf, blends, &why);
  if (status == DW_OK) status = draw(sheet, look, blends, out, &why);
  free(blends);
  /* What can't be predicted can't be drawn; the sheet is whole without it. */
  return status == DW_NO_MEMORY ? dw_fail_memory(err, "the picture") : DW_OK;
}

/* ---- the chambers -------------------------------------------------------------------------------------- */

enum { CHAMBER_WIDE = 120, CHAMBER_HIGH = 54, LABEL_HIGH = 22 };

static void put_chamber(const dw_sheet *sheet, size_t place, dw_text *out) {
  const size_t i = sheet->chamber[place];
  const dw_sheet_cup *cup = &sheet->cup[i];
  const int x = (int)place * CHAMBER_WIDE;
  dw_text_add(out, "<rect x=\"%d\" y=\"1\" width=\"%d\" height=\"%d\" fill=\"", x + 1, CHAMBER_WIDE - 2,
              CHAMBER_HIGH);
  if (cup->has_color)
    dw__html_color(cup->color, out);
  else
    dw_text_add(out, "#fff");
  dw_text_add(out,
              "\" stroke=\"#161616\" stroke-width=\"2\"/><text x=\"%d\" y=\"%d\" font-size=\"15\" "
              "text-anchor=\"middle\" fill=\"#161616\">%zu ",
              x + CHAMBER_WIDE / 2, CHAMBER_HIGH + LABEL_HIGH - 4, i + 1);
  dw_text_html(out, cup->layer);
  dw_text_add(out, "</text>");
}

void dw__sheet_chambers(const dw_sheet *sheet, dw_text *out) {
  dw_text_add(
      out,
      "<svg class=\"chambers\" viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"The cups in the order of "
      "the chambers, from left to right\">",
      (int)sheet->n * CHAMBER_WIDE, CHAMBER_HIGH + LABEL_HIGH + 2);
  for (size_t i = 0; i < sheet->n; i++) put_chamber(sheet, i, out);
  dw_text_add(out, "</svg>");
}
