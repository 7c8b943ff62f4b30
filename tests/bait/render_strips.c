/* Renders baits across a black and a white strip: render_strips FILE SEED WIDTH.  Prints each bait's true ratios. */
#include "boards.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  if (argc < 4) {
    fprintf(stderr, "Use: render_strips FILE SEED WIDTH\n");
    return 2;
  }
  static board b;
  b = strips_make((uint32_t)atoi(argv[2]), atoi(argv[3]));
  int failed = board_save(&b, argv[1]);
  for (int i = 0; i < b.n && !failed; i++)
    for (int k = 0; k < b.bait[i].layers; k++)
      printf("%.4f%s", strips_ratio(&b.bait[i], k), k + 1 < b.bait[i].layers ? " " : "\n");
  return failed ? 3 : 0;
}
