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

/* The cups when what is advised was added.  Nothing is advised: n is 0 */
static dw_status advised_of(const dw_sheet *sheet, const dw_blends *now, dw_blends *out, dw_error *err) {
  bool any = false;
  dw_status status = DW_OK;
  *out = *now;
  for (size_t i = 0; i < sheet->n && status == DW_OK; i++) {
    if (!sheet->cup[i].has_advised) continue;
    any = true;
    status = dw_blend_cup_then(sheet->shelf, &sheet->slab, &now->layer[i], &sheet->cup[i].advised,
                               &out->layer[i], err);
  }
  if (!any) out->n = 0;
  return status == DW_OK && any ? dw_blends_work(sheet->shelf, out, err) : status;
}

/* blends  as it is, and as it will be where something is advised */
static dw_status draw(const dw_sheet *sheet, const dw_sheet_look *look, const dw_blends *blends, dw_text *out,
                      dw_error *err) {
  dw_bait_picture picture = {.id = "sheet", .outline = look->outline};
  const dw_bait_view views[] = {{&blends[0], blends[1].n ? "as it is" : NULL}, {&blends[1], "as it will be"}};
  share_of(sheet, look, picture.share);
  return dw_svg_baits(sheet->shelf, views, blends[1].n ? 2 : 1, &picture, out, err);
}

static dw_status make_and_draw(const dw_sheet *sheet, const dw_sheet_look *look, dw_blends *blends,
                               dw_text *out, dw_error *err) {
  dw_status status = DW_OK;
  blends->slab = sheet->slab;
  blends->rules = dw_rules_default(); /* nothing that evens them is drawn */
  for (; status == DW_OK && blends->n < sheet->n; blends->n++)
    status = layer_of(sheet, &sheet->cup[blends->n], &blends->layer[blends->n], err);
  if (status == DW_OK) status = dw_blends_work(sheet->shelf, blends, err);
  if (status == DW_OK) status = advised_of(sheet, &blends[0], &blends[1], err);
  return status == DW_OK ? draw(sheet, look, blends, out, err) : status;
}

dw_status dw__sheet_bait(const dw_sheet *sheet, const dw_sheet_look *look, dw_text *out, dw_error *err) {
  dw_error why = {0};
  if (sheet->n < 2 || sheet->n > DW_BLEND_LAYERS_MAX) return DW_OK;
  for (size_t i = 0; i < sheet->n; i++)
    if (!sheet->cup[i].has_color) return DW_OK;
  dw_blends *blends = calloc(2, sizeof *blends);
  if (!blends) return dw_fail_memory(err, "the picture");
  dw_status status = make_and_draw(sheet, look, blends, out, &why);
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
