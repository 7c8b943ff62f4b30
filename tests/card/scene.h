/* A card as a photo would hold it: patches of chosen linear colors with noise, in a notional photo. */
#ifndef DROPWISE_TEST_SCENE_H
#define DROPWISE_TEST_SCENE_H

#include "dropwise/card.h"
#include "dropwise/numeric.h"

typedef struct scene {
  const dw_card *card;
  dw_corners corners;
  dw_photo_info photo;
  dw_random random;
  double noise; /* deviation of the sRGB-encoded value */
  bool stepped; /* to 8 bits, as in a JPEG */
  dw_rect rects[DW_CARD_PATCHES_MAX];
  dw_patch patches[DW_CARD_PATCHES_MAX];
  dw_arena *arena;
} scene;

/* An upright card of 60 pixels spacing in a photo of 900 x 700. Rects and patches are ready to be painted. */
void scene_open(scene *s, const dw_card *card, const double corners[8]);
void scene_close(scene *s);
/* Fills patch i; sets clip flags where a value leaves 0..1. */
void scene_paint(scene *s, size_t i, const double rgb[3]);
/* Paints every patch with its own color as an sRGB camera of that gamma and per-channel gain would see it. */
typedef struct scene_camera {
  double gain[3], gamma, matrix[9];
} scene_camera;
extern const scene_camera SCENE_PLAIN;
void scene_see(const scene_camera *camera, dw_lab lab, double rgb[3]);
void scene_paint_all(scene *s, const scene_camera *camera);

#endif
