/* Where layers meet, and the bait as a picture. */
#include "app/bench/question.h"
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "dropwise/batch_blend.h"

#include <stdlib.h>

/* A bait of one layer is drawn as two of the same. */
static void double_layer(dw_blends *blends, dw_bait_picture *picture) {
  blends->layer[blends->n++] = blends->layer[0];
  picture->share[0] = picture->share[1] = 0.5;
}

/* As blend --json; of a layer that was doubled, itself alone. */
static json_t *blends_json(const dw_shelf *shelf, const dw_blends *blends, bool doubled,
                           const dw_style *style) {
  json_t *root = dw_json_blends(shelf, blends, style);
  if (root && doubled) {
    json_array_remove(json_object_get(root, "layers"), 1);
    json_array_clear(json_object_get(root, "blends"));
  }
  return root;
}

static dw_status answer(dw__exchange *x, const dw_shelf *shelf, dw_blends *blends, dw_bait_picture *picture,
                        dw_error *err) {
  dw_style style = {0};
  dw_text svg = {0};
  const bool alone = blends->n == 1;
  dw_status status = dw__units_now(x->bench, &style.units, err);
  if (alone) double_layer(blends, picture);
  if (status == DW_OK) status = dw_blends_work(shelf, blends, err);
  if (status == DW_OK) status = dw_svg_bait(shelf, blends, picture, &svg, err);
  if (status == DW_OK) {
    x->json = dw_json_with(blends_json(shelf, blends, alone, &style), "svg", dw_json_text(svg.data));
    if (!x->json) status = dw_fail_memory(err, "the blends");
  }
  dw_text_free(&svg);
  return status;
}

static dw_status blend(dw__exchange *x, const dw_shelf *shelf, dw_batch_question *question, dw_blends *blends,
                       dw_error *err) {
  dw_bait_picture picture = {.id = "bait"};
  dw__asker from = {.blends = true};
  question->request.shelf = shelf;
  dw_status status = dw__question_of(x, &from, question, err);
  if (status == DW_OK) status = dw__look_of(x->body, question->request.n, &picture, err);
  if (status == DW_OK) {
    blends->slab = question->request.slab;
    status = dw_request_blends(&question->request, blends, err);
  }
  if (status == DW_OK) status = answer(x, shelf, blends, &picture, err);
  dw_book_close(from.book);
  return status;
}

dw_status dw__blend_post(dw__exchange *x, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_blends *blends = calloc(1, sizeof *blends);
  dw_batch_question *question = calloc(1, sizeof *question);
  dw_status status =
      blends && question ? dw__shelf_get(x->bench, &shelf, err) : dw_fail_memory(err, "the blends");
  if (status == DW_OK) status = blend(x, shelf, question, blends, err);
  dw_shelf_free(shelf);
  free(question);
  free(blends);
  return status;
}
