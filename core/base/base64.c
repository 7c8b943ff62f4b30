/* Base64 (RFC 4648, section 4), over nettle. */
#include "dropwise/base.h"

#include <nettle/base64.h>
#include <stdlib.h>

enum { GROUPS = 1000 }; /* of three bytes at a time */

void dw_text_base64(dw_text *text, const uint8_t *bytes, size_t n) {
  char out[BASE64_ENCODE_RAW_LENGTH(3 * GROUPS)];
  for (size_t i = 0; i < n; i += 3 * GROUPS) {
    const size_t have = n - i < 3 * GROUPS ? n - i : 3 * GROUPS;
    base64_encode_raw(out, have, bytes + i);
    dw_text_put(text, out, BASE64_ENCODE_RAW_LENGTH(have));
  }
}

dw_status dw_base64_decode(const char *text, size_t length, const char *what, uint8_t **out, size_t *n,
                           dw_error *err) {
  struct base64_decode_ctx decode;
  uint8_t *bytes = malloc(BASE64_DECODE_LENGTH(length) + 1);
  if (!bytes) return dw_fail_memory(err, what);
  *n = 0;
  base64_decode_init(&decode);
  if (base64_decode_update(&decode, n, bytes, length, text) && base64_decode_final(&decode)) {
    *out = bytes;
    return DW_OK;
  }
  free(bytes);
  return dw_fail(err, DW_BAD_INPUT, "%s is not base64.", what);
}
