/* Writes the photos of one bait turned in the light: render_turned FOLDER SEED KIND WIDTH, to turned-SEED-KIND-0.jpg ...
 * KIND 0 plain, 1 silver pearl, 2 colored pearl, 3 color shift */
#include "jpeg.h"
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
  t = turned_make((uint32_t)atoi(argv[2]), (pearl_kind)(atoi(argv[3]) % PEARL_KINDS), atoi(argv[4]));
  uint8_t *rgb = malloc((size_t)t.b.width * (size_t)t.b.height * 3);
  int failed = !rgb;
  for (int i = 0; i < TURNED_PHOTOS && !failed; i++) {
    snprintf(path, sizeof path, "%s/turned-%s-%s-%d.jpg", argv[1], argv[2], argv[3], i);
    failed = turned_render(&t, i, rgb) || jpeg_save(path, rgb, t.b.width, t.b.height, t.b.quality, 1);
  }
  free(rgb);
  return failed ? 3 : 0;
}
