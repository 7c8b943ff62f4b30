#include "dropwise/report_qr.h"

#include <errno.h>
#include <qrencode.h>

/* Modules around it: four are the standard's; on a screen two are enough for phones in practice. */
enum { QUIET_SCREEN = 2, QUIET_PAPER = 4 };

static bool light_at(const QRcode *code, int x, int y) {
  const bool inside = x >= 0 && y >= 0 && x < code->width && y < code->width;
  return !inside || !(code->data[y * code->width + x] & 1);
}

static dw_status encode(const char *content, QRcode **out, dw_error *err) {
  *out = QRcode_encodeString8bit(content, 0, QR_ECLEVEL_L);
  if (*out) return DW_OK;
  return errno == ERANGE ? dw_fail(err, DW_TOO_LARGE, "The address is too long for a QR code.")
                         : dw_fail_memory(err, "the QR code");
}

static dw_status finish(QRcode *code, const dw_text *out, dw_error *err) {
  QRcode_free(code);
  return out->failed ? dw_fail_memory(err, "the QR code") : DW_OK;
}

dw_status dw_text_qr(const char *content, dw_text *out, dw_error *err) {
  static const char *const blocks[2][2] = {{" ", "\xE2\x96\x84"}, {"\xE2\x96\x80", "\xE2\x96\x88"}};
  QRcode *code;
  dw_status status = encode(content, &code, err);
  if (status != DW_OK) return status;
  for (int y = -QUIET_SCREEN; y < code->width + QUIET_SCREEN; y += 2) {
    for (int x = -QUIET_SCREEN; x < code->width + QUIET_SCREEN; x++)
      dw_text_add(out, "%s", blocks[light_at(code, x, y)][light_at(code, x, y + 1)]);
    dw_text_add(out, "\n");
  }
  return finish(code, out, err);
}

/* Dark modules that stand side by side are one stroke. */
static void put_row(const QRcode *code, int y, dw_text *out) {
  for (int x = 0; x < code->width; x++) {
    const int from = x;
    while (x < code->width && !light_at(code, x, y)) x++;
    if (x > from) dw_text_add(out, "M%d,%dh%dv1h-%dz", from, y, x - from, x - from);
  }
}

dw_status dw_svg_qr(const char *content, const char *label, dw_text *out, dw_error *err) {
  QRcode *code;
  dw_status status = encode(content, &code, err);
  if (status != DW_OK) return status;
  const int side = code->width + 2 * QUIET_PAPER;
  dw_text_add(out, "<svg class=\"qr\" viewBox=\"%d %d %d %d\" role=\"img\" aria-label=\"", -QUIET_PAPER,
              -QUIET_PAPER, side, side);
  dw_text_html(out, label);
  dw_text_add(out, "\"><rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"#fff\"/><path d=\"",
              -QUIET_PAPER, -QUIET_PAPER, side, side);
  for (int y = 0; y < code->width; y++) put_row(code, y, out);
  dw_text_add(out, "\"/></svg>");
  return finish(code, out, err);
}
