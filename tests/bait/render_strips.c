/* Renders baits across a black and a white strip: render_strips FILE SEED WIDTH.  Prints each bait's true ratios. */
#include "boards.h"
#include "jpeg.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  if (argc < 4) {
    fprintf(stderr, "Use: render_strips FILE SEED WIDTH\n");
    return 2;
  }
  static board b;
  board_truth truth;
  b = strips_make((uint32_t)atoi(argv[2]), atoi(argv[3]));
  uint8_t *rgb = malloc((size_t)b.width * (size_t)b.height * 3);
  int failed =
      !rgb || board_render(&b, rgb, &truth) || jpeg_save(argv[1], rgb, b.width, b.height, b.quality, 1);
  for (int i = 0; i < b.n && !failed; i++)
    for (int k = 0; k < b.bait[i].layers; k++)
      printf("%.4f%s", strips_ratio(&b.bait[i], k), k + 1 < b.bait[i].layers ? " " : "\n");
  board_truth_free(&truth);
  free(rgb);
  return failed ? 3 : 0;
}
