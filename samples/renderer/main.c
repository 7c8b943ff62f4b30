/* Renders the sample photos and writes what is true in them: dw_render_samples FOLDER [NAME...] */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "camera.h"
#include "jpeg.h"
#include "scenario.h"

static void expose(shot *s, const camera *c, float *signal) {
  for (int y = 0; y < s->scene.height; y++)
    for (int x = 0; x < s->scene.width; x++) {
      seen what = scene_seen(&s->scene, x + 0.5, y + 0.5);
      double rgb[3], light = scene_light(&s->scene, x + 0.5, y + 0.5);
      camera_signal(c, &what.reflectance, rgb);
      for (int k = 0; k < 3; k++) *signal++ = (float)(light * (rgb[k] + what.mirror * c->white[k]));
      marks_gather(&s->marks, x, y, &what);
    }
}

static int render(shot *s, const char *folder) {
  size_t samples = (size_t)s->scene.width * (size_t)s->scene.height * 3;
  float *signal = malloc(samples * sizeof *signal);
  uint8_t *picture = malloc(samples);
  char path[1024];
  int failed = !signal || !picture;
  if (failed) goto done;
  camera c = camera_make(s->scene.light, s->balance_share, s->exposure, s->electrons);
  s->scene.paint = board_paint_make(s->scene.board, s->scene.seed);
  expose(s, &c, signal);
  failed = camera_develop(&c, signal, s->scene.width, s->scene.height, s->scene.seed, picture);
  if (failed) goto done;
  snprintf(path, sizeof path, "%s/%s.jpg", folder, s->name);
  failed = jpeg_save(path, picture, s->scene.width, s->scene.height, s->quality, s->orientation) ||
           marks_save(folder, s->name, &s->scene, &s->marks) ||
           truth_save(folder, s->name, &s->scene, &s->marks);
done:
  if (!signal || !picture) fprintf(stderr, "Out of memory while rendering %s.\n", s->name);
  free(picture);
  free(signal);
  return failed;
}

static int wanted(const char *name, int argc, char **argv) {
  for (int i = 2; i < argc; i++)
    if (strcmp(argv[i], name) == 0) return 1;
  return argc == 2;
}

int main(int argc, char **argv) {
  if (argc < 2) {
    fprintf(stderr, "Use: dw_render_samples FOLDER [NAME...]\n");
    return 2;
  }
  int failed = chips_save(argv[1]);
  for (int i = 0; i < SHOTS && !failed; i++) {
    static shot s;
    s = scenario_shot(i);
    if (!wanted(s.name, argc, argv)) continue;
    failed = render(&s, argv[1]);
    if (i == 0 && !failed) failed = patterns_save(argv[1], &s);
  }
  return failed ? 3 : 0;
}
