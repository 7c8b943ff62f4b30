/* Prints the figures over many boards, and by the board's color: board_figures FIRST LAST WIDTH [verbose] */
#include "figures.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  static figures all, by[BOARD_COLORS], own;
  if (argc < 4) {
    fprintf(stderr, "Use: board_figures FIRST LAST WIDTH [verbose]\n");
    return 2;
  }
  for (int seed = atoi(argv[1]); seed <= atoi(argv[2]); seed++) {
    static board b;
    b = board_make((uint32_t)seed, atoi(argv[3]), 0);
    own = (figures){0};
    if (figures_add(&b, argc > 4, &own)) return 3;
    figures_join(&all, &own);
    figures_join(&by[b.color], &own);
  }
  for (int c = 0; c < BOARD_COLORS; c++)
    if (by[c].boards) figures_print(board_color_words[c], &by[c]);
  figures_print("all", &all);
  return 0;
}
