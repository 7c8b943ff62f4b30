/* Prints the figures over traced boards, by light and by what troubles them: dw_traced_figures FOLDER FIRST LAST [verbose] */
#include "traced.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  static figures all, by[TROUBLE_KINDS];
  if (argc < 4) {
    fprintf(stderr, "Use: dw_traced_figures FOLDER FIRST LAST [verbose]\n");
    return 2;
  }
  if (traced_judge(argv[1], atoi(argv[2]), atoi(argv[3]), argc > 4, &all, by)) return 3;
  traced_print("all", &all, by);
  return 0;
}
