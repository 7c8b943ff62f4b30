/* How well baits are found and read on rendered boards whose truth is known. */
#ifndef TESTS_BAIT_FIGURES_H
#define TESTS_BAIT_FIGURES_H

#include "boards.h"

enum { FIGURES_MAX = 4096 };
typedef struct figures {
  size_t boards, baits;  /* rendered */
  size_t found, in_one;  /* found; of these, touching baits reported as one */
  size_t invented;       /* reported where no bait lies */
  size_t counted, right; /* baits whose number of layers was judged, and those where it was right */
  size_t borders, colors;
  double border[FIGURES_MAX];  /* distance from the true one, share of the body's height */
  double color[FIGURES_MAX];   /* CIEDE2000 from the same photo read along true borders, by the true card */
  double band[FIGURES_MAX];    /* what of it the place of the band costs: the same by one light */
  double card[FIGURES_MAX];    /* and the card: the same band by the found card and by the true one */
  double overlap[FIGURES_MAX]; /* of found and true body: area in both over area in either */
} figures;

/* What is true of a photo of baits, whoever drew it. */
typedef struct judged_bait {
  const char *kind;
  int layers;
  double border[LAYERS_MAX - 1]; /* where it lies in the mean over the body's middle part, of the height */
  double blend[LAYERS_MAX - 1];  /* half widths */
  unsigned trouble;
} judged_bait;
typedef struct judged_board {
  const char *path; /* of the photo */
  char title[96];   /* its light, board and the like, in words */
  int width, height, n;
  bool has_card;
  double corners[8];
  unsigned trouble; /* bits of what `by` has figures for, true of all baits; a bait's own come in addition */
  const char *const *trouble_words;
  judged_bait bait[BOARD_BAITS_MAX];
  board_truth truth;
} judged_board;

/* Finds the photo's card and baits with nothing marked, and adds to the figures.
 * by       NULL, or figures for each of TROUBLE_KINDS troubles
 * verbose  prints a line per bait.  Nonzero on failure. */
int figures_judge(const judged_board *b, int verbose, figures *to, figures *by);
/* The same of a board that it renders and saves as JPEG in a file of its own. */
int figures_add(const board *b, int verbose, figures *to, figures *by);
void figures_join(figures *to, const figures *from);
double figures_mean(const double *v, size_t n);
double figures_median(const double *v, size_t n);
void figures_print(const char *title, const figures *f);

#endif
