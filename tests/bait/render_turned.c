/* Writes the photos of one bait turned in the light: render_turned FOLDER SEED KIND WIDTH, to turned-SEED-KIND-0.jpg ...
 * KIND 0 plain, 1 silver pearl, 2 colored pearl, 3 color shift, 4 four baits of a swirl, whose true shares are printed */
#include "turned.h"

#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  static turned t;
  char path[4096];
  if (argc != 5) {
    fprintf(stderr, "Use: render_turned FOLDER SEED KIND WIDTH\n");
    return 2;
  }
  int kind = atoi(argv[3]);
  uint32_t seed = (uint32_t)atoi(argv[2]);
  t = kind == PEARL_KINDS ? swirled_make(seed, atoi(argv[4]))
                          : turned_make(seed, (pearl_kind)(kind % PEARL_KINDS), atoi(argv[4]));
  int failed = 0;
  for (int i = 0; i < (kind == PEARL_KINDS ? 1 : TURNED_PHOTOS) && !failed; i++) {
    snprintf(path, sizeof path, "%s/turned-%s-%s-%d.jpg", argv[1], argv[2], argv[3], i);
    failed = turned_save(&t, i, path);
  }
  for (int i = 0; i < t.b.n && kind == PEARL_KINDS; i++) {
    double share[LAYERS_MAX];
    lab_color color[LAYERS_MAX];
    swirled_truth(&t, i, share, color);
    for (int k = 0; k < t.b.bait[i].layers; k++)
      printf("%.4f,%.2f,%.2f,%.2f%s", share[k], color[k].L, color[k].a, color[k].b,
             k + 1 < t.b.bait[i].layers ? " " : "\n");
  }
  return failed ? 3 : 0;
}
