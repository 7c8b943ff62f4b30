/* Prints the figures over many boards, and by what troubles them: board_figures FIRST LAST WIDTH [verbose]; WIDTH 0
 * for the boards of board_varied */
#include "figures.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  static figures all, by[TROUBLE_KINDS];
  if (argc < 4) {
    fprintf(stderr, "Use: board_figures FIRST LAST WIDTH [verbose]\n");
    return 2;
  }
  for (int seed = atoi(argv[1]); seed <= atoi(argv[2]); seed++) {
    static board b;
    int width = atoi(argv[3]);
    b = width ? board_make((uint32_t)seed, width, 0) : board_varied((uint32_t)seed);
    if (figures_add(&b, argc > 4, &all, by)) return 3;
  }
  for (int k = 0; k < TROUBLE_KINDS; k++)
    if (by[k].baits) figures_print(trouble_words[k], &by[k]);
  figures_print("all", &all);
  return 0;
}
