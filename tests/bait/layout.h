/* What lies where on a board that is made. */
#ifndef TESTS_BAIT_LAYOUT_H
#define TESTS_BAIT_LAYOUT_H

#include "boards.h"

enum { MM_MAX = 480 };
typedef struct layout {
  uint8_t taken[MM_MAX][MM_MAX]; /* by mm: something lies within the gap */
  int w, h;
} layout;

/* Somewhere free; false where there is no room. */
bool layout_put(body *b, layout *l, chance *dice);
/* A second bait against the first one's side, or its nose at the first one's tail. */
bool layout_beside(const body *first, body *b, layout *l, chance *dice);
/* Where its layers meet, none of them too slim. */
void layout_borders(body *b, chance *dice);
/* low, high  mm from patch to patch of the card */
void layout_card(board *b, layout *l, double low, double high, chance *dice);
/* A runner from one bait's nose to another's, or a stub of sprue at one nose. */
void layout_bars(board *b, layout *l, chance *dice);

#endif
