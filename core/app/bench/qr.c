#include "app/bench/qr.h"

#include <errno.h>
#include <qrencode.h>

enum { QUIET = 2 }; /* modules around it; four are the standard's, two are enough for phones in practice */

static bool light_at(const QRcode *code, int x, int y) {
  bool inside = x >= 0 && y >= 0 && x < code->width && y < code->width;
  return !inside || !(code->data[y * code->width + x] & 1);
}

dw_status dw__qr_text(const char *content, dw_text *out, dw_error *err) {
  static const char *const blocks[2][2] = {{" ", "\xE2\x96\x84"}, {"\xE2\x96\x80", "\xE2\x96\x88"}};
  QRcode *code = QRcode_encodeString8bit(content, 0, QR_ECLEVEL_L);
  if (!code)
    return errno == ERANGE ? dw_fail(err, DW_TOO_LARGE, "The address is too long for a QR code.")
                           : dw_fail_memory(err, "the QR code");
  for (int y = -QUIET; y < code->width + QUIET; y += 2) {
    for (int x = -QUIET; x < code->width + QUIET; x++)
      dw_text_add(out, "%s", blocks[light_at(code, x, y)][light_at(code, x, y + 1)]);
    dw_text_add(out, "\n");
  }
  QRcode_free(code);
  return out->failed ? dw_fail_memory(err, "the QR code") : DW_OK;
}
