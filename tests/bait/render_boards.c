/* Renders boards to look at: render_boards FOLDER FIRST LAST WIDTH [BAITS]; WIDTH 0 for those of board_varied */
#include "boards.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  if (argc < 5) {
    fprintf(stderr, "Use: render_boards FOLDER FIRST LAST WIDTH [BAITS]\n");
    return 2;
  }
  int width = atoi(argv[4]), failed = 0;
  for (int seed = atoi(argv[2]); seed <= atoi(argv[3]) && !failed; seed++) {
    static board b;
    b = width ? board_make((uint32_t)seed, width, argc > 5 ? atoi(argv[5]) : 0)
              : board_varied((uint32_t)seed);
    char path[1024];
    snprintf(path, sizeof path, "%s/board-%d.jpg", argv[1], seed);
    failed = board_save(&b, path);
  }
  return failed ? 3 : 0;
}
