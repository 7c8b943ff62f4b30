#include "card/scene.h"

#include <math.h>
#include <string.h>

const scene_camera SCENE_PLAIN = {{1, 1, 1}, 1.0, {1, 0, 0, 0, 1, 0, 0, 0, 1}};

static const double upright[8] = {200, 200, 500, 200, 500, 380, 200, 380};

void scene_open(scene *s, const dw_card *card, const double corners[8]) {
  dw_error err;
  memset(s, 0, sizeof *s);
  s->card = card;
  s->photo.width = 900;
  s->photo.height = 700;
  s->random = dw_random_seed(7);
  memcpy(s->corners.xy, corners != NULL ? corners : upright, sizeof s->corners.xy);
  s->arena = dw_arena_new(0);
  if (dw_card_rects(card, &s->corners, &s->photo, s->rects, &err) != DW_OK) {
    fprintf(stderr, "%s\n", err.text);
    return;
  }
  for (size_t i = 0; i < card->rows * card->cols; i++) {
    const size_t n = (size_t)s->rects[i].w * (size_t)s->rects[i].h;
    s->patches[i] = (dw_patch){.rect = s->rects[i],
                               .rgb = dw_arena_take(s->arena, 3 * n, sizeof(float)),
                               .clip = dw_arena_take(s->arena, n, 1)};
  }
}

void scene_close(scene *s) {
  dw_arena_free(s->arena);
}

void scene_paint(scene *s, size_t i, const double rgb[3]) {
  dw_patch *p = &s->patches[i];
  for (size_t k = 0; k < (size_t)p->rect.w * (size_t)p->rect.h; k++) {
    p->clip[k] = 0;
    for (size_t c = 0; c < 3; c++) {
      double value = dw_srgb_encode(rgb[c]);
      if (s->noise > 0.0) value += s->noise * dw_random_normal(&s->random);
      if (s->stepped) value = round(value * 255.0) / 255.0;
      if (value >= 1.0) p->clip[k] |= DW_CLIP_HIGH;
      if (value <= 0.0) p->clip[k] |= DW_CLIP_LOW;
      p->rgb[3 * k + c] = (float)dw_srgb_decode(fmin(fmax(value, 0.0), 1.0));
    }
  }
}

void scene_see(const scene_camera *camera, dw_lab lab, double rgb[3]) {
  double linear[3];
  dw_linear_from_xyz(dw_xyz_from_lab(lab), linear);
  for (int c = 0; c < 3; c++) {
    const double *m = &camera->matrix[3 * c];
    const double light = camera->gain[c] * (m[0] * linear[0] + m[1] * linear[1] + m[2] * linear[2]);
    rgb[c] = pow(fmax(light, 0.0), camera->gamma);
  }
}

void scene_paint_all(scene *s, const scene_camera *camera) {
  for (size_t i = 0; i < s->card->rows * s->card->cols; i++) {
    double rgb[3];
    scene_see(camera, s->card->lab[i], rgb);
    scene_paint(s, i, rgb);
  }
}
