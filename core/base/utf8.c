/* Characters in UTF-8, so that text from outside is cut between them and named only where it is whole. */
#include "dropwise/base.h"

#include <string.h>

static size_t length_by_lead(unsigned char lead) {
  if (lead < 0x80) return 1;
  if ((lead & 0xE0) == 0xC0) return 2;
  if ((lead & 0xF0) == 0xE0) return 3;
  return (lead & 0xF8) == 0xF0 ? 4 : 0;
}

static bool continues(char byte) {
  return ((unsigned char)byte & 0xC0) == 0x80;
}

size_t dw_utf8_character(const char *text, size_t n, uint32_t *code) {
  static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
  if (n == 0) return 0;
  unsigned char lead = (unsigned char)text[0];
  size_t length = length_by_lead(lead);
  if (length == 0 || length > n) return 0;
  uint32_t value = length == 1 ? lead : lead & (0x7Fu >> length);
  for (size_t i = 1; i < length; i++) {
    if (!continues(text[i])) return 0;
    value = value << 6 | ((unsigned char)text[i] & 0x3Fu);
  }
  if (value < least[length] || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF)) return 0;
  if (code) *code = value;
  return length;
}

size_t dw_utf8_cut(const char *text, size_t n) {
  size_t lead = n;
  while (lead > 0 && n - lead < 3 && continues(text[lead - 1])) lead--;
  if (lead == 0) return n;
  lead--;
  size_t length = length_by_lead((unsigned char)text[lead]);
  return length > n - lead ? lead : n;
}

bool dw_utf8_plain(const char *text) {
  size_t n = strlen(text), length;
  for (size_t i = 0; i < n; i += length) {
    uint32_t code;
    length = dw_utf8_character(text + i, n - i, &code);
    if (length == 0 || code < 0x20 || (code >= 0x7F && code < 0xA0)) return false;
  }
  return true;
}
