#include "dropwise/base.h"

#include <stdlib.h>
#include <string.h>

static bool text_reserve(dw_text *text, size_t more) {
  size_t need;
  if (text->failed) return false;
  if (!dw_size_add(text->length, more, &need) || !dw_size_add(need, 1, &need)) return !(text->failed = true);
  if (need <= text->room) return true;
  size_t room = text->room ? text->room : 256;
  while (room < need) room = room > SIZE_MAX / 2 ? need : room * 2;
  char *data = realloc(text->data, room);
  if (!data) return !(text->failed = true);
  text->data = data;
  text->room = room;
  return true;
}

void dw_text_put(dw_text *text, const char *bytes, size_t n) {
  if (!text_reserve(text, n)) return;
  if (n) memcpy(text->data + text->length, bytes, n);
  text->length += n;
  text->data[text->length] = '\0';
}

void dw_text_add(dw_text *text, const char *format, ...) {
  va_list args, again;
  va_start(args, format);
  va_copy(again, args);
  int n = vsnprintf(NULL, 0, format, args);
  va_end(args);
  if (n < 0) {
    text->failed = true;
  } else if (text_reserve(text, (size_t)n)) {
    vsnprintf(text->data + text->length, (size_t)n + 1, format, again);
    text->length += (size_t)n;
  }
  va_end(again);
}

void dw_text_html(dw_text *text, const char *plain) {
  for (const char *p = plain; *p; p++) {
    switch (*p) {
    case '&':
      dw_text_put(text, "&amp;", 5);
      break;
    case '<':
      dw_text_put(text, "&lt;", 4);
      break;
    case '>':
      dw_text_put(text, "&gt;", 4);
      break;
    case '"':
      dw_text_put(text, "&quot;", 6);
      break;
    case '\'':
      dw_text_put(text, "&#39;", 5);
      break;
    default:
      dw_text_put(text, p, 1);
    }
  }
}

void dw_hex(const uint8_t *bytes, size_t n, char *out) {
  static const char digits[] = "0123456789abcdef";
  for (size_t i = 0; i < n; i++) {
    out[2 * i] = digits[bytes[i] >> 4];
    out[2 * i + 1] = digits[bytes[i] & 15];
  }
  out[2 * n] = '\0';
}

void dw_text_free(dw_text *text) {
  free(text->data);
  *text = (dw_text){0};
}
