#include "dropwise/base.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NUMBER_TEXT_MAX = 64 };

/* Length of [+-] digits [. digits] [e [+-] digits] at the start of text, 0 when there is none. */
static size_t number_length(const char *text) {
  const char *p = text;
  size_t digits = 0;
  if (*p == '+' || *p == '-') p++;
  for (; isdigit((unsigned char)*p); p++) digits++;
  if (*p == '.')
    for (p++; isdigit((unsigned char)*p); p++) digits++;
  if (digits == 0) return 0;
  if (*p == 'e' || *p == 'E') {
    const char *q = p + 1;
    if (*q == '+' || *q == '-') q++;
    if (isdigit((unsigned char)*q)) {
      while (isdigit((unsigned char)*q)) q++;
      p = q;
    }
  }
  return (size_t)(p - text);
}

bool dw_parse_number(const char *text, const char **rest, double *out) {
  size_t n = number_length(text);
  if (n == 0 || n >= NUMBER_TEXT_MAX) return false;
  char copy[NUMBER_TEXT_MAX];
  memcpy(copy, text, n);
  copy[n] = '\0';
  /* The program never leaves the "C" locale, so strtod's point is '.'. */
  double value = strtod(copy, NULL);
  if (!isfinite(value)) return false;
  *out = value;
  if (rest) *rest = text + n;
  return true;
}

static const char *skip_blanks(const char *p) {
  while (*p == ' ' || *p == '\t') p++;
  return p;
}

bool dw_parse_numbers(const char *text, size_t n, double *out) {
  const char *p = text;
  for (size_t i = 0; i < n; i++) {
    if (i && *p++ != ',') return false;
    if (!dw_parse_number(skip_blanks(p), &p, &out[i])) return false;
    p = skip_blanks(p);
  }
  return *p == '\0';
}

bool dw_parse_number_in(const char *text, double min, double max, double *out) {
  double value;
  if (!dw_parse_numbers(text, 1, &value) || value < min || value > max) return false;
  *out = value;
  return true;
}

bool dw_split_named(const char *text, char name[DW_ID_ROOM], const char **value) {
  const char *equals = strchr(text, '=');
  const size_t n = equals ? (size_t)(equals - text) : strlen(text);
  if (n == 0 || n >= DW_ID_ROOM) return false;
  memcpy(name, text, n);
  name[n] = '\0';
  *value = equals ? equals + 1 : NULL;
  return true;
}

double dw_rounded(double value, int decimals) {
  const double scale = pow(10, decimals), scaled = value * scale;
  const double rounded =
      isfinite(scaled) ? round(scaled) / scale : value; /* so large that it has no decimals */
  return rounded == 0 ? 0 : rounded;
}

bool dw_copy_text(char *out, size_t room, const char *text) {
  size_t n = strlen(text);
  size_t keep = n < room ? n : dw_utf8_cut(text, room - 1);
  memcpy(out, text, keep);
  out[keep] = '\0';
  return keep == n;
}

bool dw_id_valid(const char *id) {
  size_t n = strlen(id);
  if (n < 1 || n > 47 || id[0] == '-' || id[0] == '_') return false;
  return strspn(id, "abcdefghijklmnopqrstuvwxyz0123456789-_") == n;
}
