/* Names as people type them: alike but for case and blanks, and the nearest to a slip. */
#ifndef DROPWISE_NAMES_H
#define DROPWISE_NAMES_H

#include "dropwise/base.h"

/* "Muddy  Craw" is "muddy craw": case (of ASCII letters) and the number of blanks don't count, nor do those
 * at the ends. */
bool dw_names_alike(const char *a, const char *b);

enum { DW_NEAREST_WORDS_ROOM = 100 };

/* Looks for the name that a word was meant to be. Begin with {.word = ...}, offer every name, ask at the end.
 */
typedef struct dw_nearest {
  const char *word; /* borrowed, as name is */
  const char *name; /* the nearest so far; NULL before any was offered */
  size_t distance;  /* letters to insert, delete, replace or swap */
} dw_nearest;
void dw_nearest_offer(dw_nearest *nearest, const char *name);
/* Near enough to be a slip of the finger: a letter, and one more for every four. */
bool dw_nearest_likely(const dw_nearest *nearest);
/* " Did you mean \"orange\"?" where it is likely, else "". */
void dw_nearest_words(const dw_nearest *nearest, char out[DW_NEAREST_WORDS_ROOM]);

/* Numbers by name: each name once. */
enum { DW_NUMBERS_MAX = 64, DW_NUMBER_NAME_ROOM = 2 * DW_ID_ROOM };
typedef struct dw_numbers {
  size_t n;
  struct {
    char name[DW_NUMBER_NAME_ROOM];
    double value;
  } of[DW_NUMBERS_MAX];
} dw_numbers;
/* NULL when there is none of that name; lives in numbers. */
const double *dw_numbers_find(const dw_numbers *numbers, const char *name);
/* Sets it anew, or adds it; false when there is no room for one more. */
bool dw_numbers_set(dw_numbers *numbers, const char *name, double value);

#endif
