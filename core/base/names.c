#include "dropwise/names.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum { LETTERS_MAX = 64 }; /* of a name that are compared */

/* The next letter in lower case; a run of blanks is one, those at the end are none. */
static char next_letter(const char **at) {
  const char *p = *at;
  if (*p != ' ') {
    *at = p + (*p != '\0');
    return (char)tolower((unsigned char)*p);
  }
  p += strspn(p, " ");
  *at = p;
  return *p ? ' ' : '\0';
}

bool dw_names_alike(const char *a, const char *b) {
  char x, y;
  a += strspn(a, " "), b += strspn(b, " ");
  do {
    x = next_letter(&a), y = next_letter(&b);
  } while (x && x == y);
  return x == y;
}

static size_t fold(const char *name, char out[LETTERS_MAX]) {
  size_t n = 0;
  char letter;
  name += strspn(name, " ");
  while (n < LETTERS_MAX && (letter = next_letter(&name))) out[n++] = letter;
  return n;
}

static size_t least(size_t a, size_t b) {
  return a < b ? a : b;
}

/* Optimal string alignment: two letters swapped count as one slip. */
static size_t slips(const char *a, size_t n, const char *b, size_t m) {
  size_t row[3][LETTERS_MAX + 1];
  for (size_t j = 0; j <= m; j++) row[0][j] = j;
  for (size_t i = 1; i <= n; i++) {
    size_t *now = row[i % 3], *before = row[(i + 2) % 3], *earlier = row[(i + 1) % 3];
    now[0] = i;
    for (size_t j = 1; j <= m; j++) {
      now[j] = least(least(before[j], now[j - 1]) + 1, before[j - 1] + (a[i - 1] != b[j - 1]));
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        now[j] = least(now[j], earlier[j - 2] + 1);
    }
  }
  return row[n % 3][m];
}

void dw_nearest_offer(dw_nearest *nearest, const char *name) {
  char a[LETTERS_MAX], b[LETTERS_MAX];
  size_t n = fold(nearest->word, a), m = fold(name, b);
  size_t distance = slips(a, n, b, m);
  if (nearest->name && distance >= nearest->distance) return;
  nearest->name = name;
  nearest->distance = distance;
}

bool dw_nearest_likely(const dw_nearest *nearest) {
  char a[LETTERS_MAX];
  return nearest->name && nearest->distance <= 1 + fold(nearest->word, a) / 4;
}

void dw_nearest_words(const dw_nearest *nearest, char out[DW_NEAREST_WORDS_ROOM]) {
  out[0] = '\0';
  if (dw_nearest_likely(nearest))
    snprintf(out, DW_NEAREST_WORDS_ROOM, " Did you mean \"%.70s\"?", nearest->name);
}

/* ---- numbers by name --------------------------------------------------------------------------------- */

const double *dw_numbers_find(const dw_numbers *numbers, const char *name) {
  for (size_t i = 0; i < numbers->n; i++)
    if (strcmp(numbers->of[i].name, name) == 0) return &numbers->of[i].value;
  return NULL;
}

bool dw_numbers_set(dw_numbers *numbers, const char *name, double value) {
  size_t i = 0;
  while (i < numbers->n && strcmp(numbers->of[i].name, name) != 0) i++;
  if (i == DW_NUMBERS_MAX || strlen(name) >= sizeof numbers->of[i].name) return false;
  if (i == numbers->n) numbers->n++;
  dw_copy_text(numbers->of[i].name, sizeof numbers->of[i].name, name);
  numbers->of[i].value = value;
  return true;
}
