/* Boards that boards.py has rendered, with their truth. */
#ifndef TESTS_TRACED_TRACED_H
#define TESTS_TRACED_TRACED_H

#include "figures.h"

/* What a traced board or bait has to trouble the search; the lights first. */
enum { TRACED_LIGHTS = 5, TRACED_TROUBLES = 12 };
extern const char *const traced_words[TRACED_TROUBLES];

/* Reads FOLDER/SEED.txt and FOLDER/SEED.png (pov.py has what they hold); path  room for the photo's, which stays with the caller.
 * Nonzero, and said on stderr, where either is missing or not as it should be. Free out->truth with board_truth_free. */
int traced_read(const char *folder, int seed, char path[512], judged_board *out);

/* Adds boards FIRST to LAST to the figures, and by trouble to `by`.  Nonzero on failure. */
int traced_judge(const char *folder, int first, int last, int verbose, figures *all,
                 figures by[TROUBLE_KINDS]);
void traced_print(const char *title, const figures *all, const figures by[TROUBLE_KINDS]);

#endif
