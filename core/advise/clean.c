#include "advise/clean.h"

#include <string.h>

bool pt__text_ends(const char *text, size_t room) {
  return memchr(text, '\0', room) != NULL;
}

/* Length of the UTF-8 character at s (1 to 4), its code in *code; 0 when it is none (RFC 3629). */
static size_t character(const unsigned char *s, size_t have, uint32_t *code) {
  static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
  size_t n = s[0] < 0x80             ? 1
             : (s[0] & 0xE0) == 0xC0 ? 2
             : (s[0] & 0xF0) == 0xE0 ? 3
             : (s[0] & 0xF8) == 0xF0 ? 4
                                     : 0;
  if (n == 0 || n > have) return 0;
  uint32_t value = n == 1 ? s[0] : s[0] & (0x7Fu >> n);
  for (size_t i = 1; i < n; i++) {
    if ((s[i] & 0xC0) != 0x80) return 0;
    value = value << 6 | (s[i] & 0x3Fu);
  }
  *code = value;
  return value >= least[n] && value <= 0x10FFFF && (value < 0xD800 || value > 0xDFFF) ? n : 0;
}

/* Control characters of ASCII and Latin-1, line separators, and the marks that reorder text (Unicode, UAX 9).
 */
static bool harmless(uint32_t code) {
  if (code < 0x20 || (code >= 0x7F && code < 0xA0)) return false;
  if (code == 0x200E || code == 0x200F || (code >= 0x2028 && code <= 0x202E)) return false;
  return !(code >= 0x2066 && code <= 0x2069) && code != 0xFEFF && code != 0x061C;
}

bool pt__text_clean(char *out, size_t room, const char *text, size_t in_room) {
  const unsigned char *in = (const unsigned char *)text;
  size_t have = strnlen(text, in_room), put = 0;
  bool same = have < in_room;
  for (size_t i = 0, n; i < have; i += n) {
    uint32_t code;
    n = character(in + i, have - i, &code);
    bool fine = n > 0 && harmless(code);
    size_t need = fine ? n : 1;
    if (put + need >= room) {
      same = false;
      break;
    }
    if (fine) {
      memcpy(out + put, in + i, n);
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
