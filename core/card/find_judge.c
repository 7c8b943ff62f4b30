/* Whether what was found is the card: its light is fitted from the reduced picture, as it will be from the
 * photo, and must fit better than a marked card's, for nobody has said that there is one. */
#include "card/find.h"
#include "card/light.h"

#include <string.h>

/* The fit's residual and left-out error, CIEDE2000, above which a card that nobody marked is not believed
 * (measured: docs/color-model.md#finding-the-card). */
#define RESIDUAL_BELIEVED 3.0
#define LEFT_OUT_BELIEVED 6.0

static float linear_from_code(uint8_t code) {
  return (float)dw_srgb_decode(code / 255.0);
}

/* The pixels of one rectangle, which lies in the picture. */
static dw_status patch_take(const dw_preview *view, dw_rect rect, const float linear[256], dw_arena *arena,
                            dw_patch *out, dw_error *err) {
  const size_t w = (size_t)rect.w, h = (size_t)rect.h;
  *out = (dw_patch){.rect = rect, .step = 1};
  out->rgb = dw_arena_take(arena, w * h, 3 * sizeof(float));
  out->clip = dw_arena_take(arena, w * h, 1);
  if (!out->rgb || !out->clip) return dw_fail_memory(err, "the search for a card");
  for (size_t y = 0; y < h; y++) {
    const uint8_t *from = view->rgb + 3 * (((size_t)rect.y + y) * (size_t)view->width + (size_t)rect.x);
    for (size_t x = 0; x < w; x++)
      for (size_t c = 0; c < 3; c++) {
        const uint8_t code = from[3 * x + c];
        out->rgb[3 * (y * w + x) + c] = linear[code];
        if (code == UINT8_MAX) out->clip[y * w + x] |= DW_CLIP_HIGH;
        if (code == 0) out->clip[y * w + x] |= DW_CLIP_LOW;
      }
  }
  return DW_OK;
}

static dw_status patches_take(const dw_preview *view, const dw_card *card, const dw_corners *corners,
                              dw_arena *arena, dw_patch *out, dw_error *err) {
  const dw_photo_info info = {.width = view->width, .height = view->height};
  float linear[256];
  dw_rect *rects = dw_arena_take(arena, DW_CARD_PATCHES_MAX, sizeof *rects);
  if (rects == NULL) return dw_fail_memory(err, "the search for a card");
  for (int code = 0; code < 256; code++) linear[code] = linear_from_code((uint8_t)code);
  dw_status status = dw_card_rects(card, corners, &info, rects, err);
  for (size_t i = 0; i < card->rows * card->cols && status == DW_OK; i++)
    status = patch_take(view, rects[i], linear, arena, &out[i], err);
  return status;
}

static bool believed(const dw_fit_error *residual, const dw_fit_error *left_out) {
  return residual->mean <= RESIDUAL_BELIEVED && left_out->mean <= LEFT_OUT_BELIEVED;
}

/* Whether the plainest fit is good enough already: most are, and all others take four times as long. */
static bool plainly_believed(const dw_card *card, const dw_corners *corners, const dw_patch *patches) {
  dw_fit_error residual, left_out;
  return dw__light_card_plainly(card, corners, patches, &residual, &left_out, NULL) == DW_OK &&
         believed(&residual, &left_out);
}

static dw_status light_believe(const dw_light_info *info, dw_error *err) {
  if (believed(&info->residual, &info->left_out)) return DW_OK;
  return dw_fail(err, DW_REFUSED,
                 "Its colors miss the card's by %.1f in the mean, by %.1f when each is left out.",
                 info->residual.mean, info->left_out.mean);
}

dw_status dw__laying_judge(const dw_preview *view, const dw_card *card, const dw_corners *corners,
                           dw_error *err) {
  dw_light *light = NULL;
  dw_arena *arena = dw_arena_new(0);
  dw_patch *patches = arena ? dw_arena_take(arena, DW_CARD_PATCHES_MAX, sizeof *patches) : NULL;
  dw_status status = patches ? patches_take(view, card, corners, arena, patches, err)
                             : dw_fail_memory(err, "the search for a card");
  if (status == DW_OK && !plainly_believed(card, corners, patches)) {
    status = dw_light_card(card, corners, patches, &light, err);
    if (status == DW_OK) status = light_believe(dw_light_info_get(light), err);
  }
  dw_light_free(light);
  dw_arena_free(arena);
  return status;
}
