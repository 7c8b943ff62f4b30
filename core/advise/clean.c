#include "advise/clean.h"

#include <string.h>

bool dw__text_ends(const char *text, size_t room) {
  return memchr(text, '\0', room) != NULL;
}

/* Control characters of ASCII and Latin-1, line separators, and the marks that reorder text (Unicode, UAX 9).
 */
static bool harmless(uint32_t code) {
  if (code < 0x20 || (code >= 0x7F && code < 0xA0)) return false;
  if (code == 0x200E || code == 0x200F || (code >= 0x2028 && code <= 0x202E)) return false;
  return !(code >= 0x2066 && code <= 0x2069) && code != 0xFEFF && code != 0x061C;
}

bool dw__text_clean(char *out, size_t room, const char *text, size_t in_room) {
  size_t have = strnlen(text, in_room), put = 0;
  bool same = have < in_room;
  for (size_t i = 0, n; i < have; i += n) {
    uint32_t code;
    n = dw_utf8_character(text + i, have - i, &code);
    bool fine = n > 0 && harmless(code);
    size_t need = fine ? n : 1;
    if (put + need >= room) {
      same = false;
      break;
    }
    if (fine) {
      memcpy(out + put, text + i, n);
    } else {
      out[put] = '?';
      same = false;
    }
    put += need;
    if (n == 0) n = 1;
  }
  out[put] = '\0';
  return same;
}
