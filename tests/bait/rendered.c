/* A rendered board as what is judged. */
#include "figures.h"
#include "jpeg.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static void truth_of(const board *b, judged_board *out) {
  out->width = b->width, out->height = b->height, out->n = b->n, out->has_card = b->has_card;
  out->trouble = b->trouble, out->trouble_words = trouble_words;
  snprintf(out->title, sizeof out->title, "%u: %s, %s, quality %d", b->seed, board_color_words[b->color],
           light_words(b->light), b->quality);
  board_card_corners(b, out->corners);
  for (int i = 0; i < b->n; i++) {
    judged_bait *to = &out->bait[i];
    *to = (judged_bait){
        .kind = body_kind_words[b->bait[i].kind], .layers = b->bait[i].layers, .trouble = b->bait_trouble[i]};
    for (int k = 0; k + 1 < to->layers; k++)
      to->border[k] = body_border(&b->bait[i], k), to->blend[k] = b->bait[i].blend[k];
  }
}

int figures_add(const board *b, int verbose, figures *to, figures *by) {
  static judged_board truth;
  char path[64] = "/tmp/dropwise-board-XXXXXX";
  uint8_t *rgb = malloc((size_t)b->width * (size_t)b->height * 3);
  int file = mkstemp(path);
  truth = (judged_board){.path = path};
  truth_of(b, &truth);
  int failed =
      !rgb || file < 0 || board_render(b, rgb, &truth.truth) ||
      jpeg_save_as(path, rgb, b->width, b->height, b->quality, 1, b->chroma_full ? JPEG_444 : JPEG_420) ||
      figures_judge(&truth, verbose, to, by);
  if (file >= 0) close(file), unlink(path);
  board_truth_free(&truth.truth);
  free(rgb);
  return failed;
}
