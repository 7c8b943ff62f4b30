/* A board as a photo. */
#include "boards.h"
#include "jpeg.h"

#include <stdlib.h>
#include <unistd.h>

int board_save(const board *b, const char *path) {
  board_truth truth = {0};
  uint8_t *rgb = malloc((size_t)b->width * (size_t)b->height * 3);
  int failed =
      !rgb || board_render(b, rgb, &truth) ||
      jpeg_save_as(path, rgb, b->width, b->height, b->quality, 1, b->chroma_full ? JPEG_444 : JPEG_420);
  board_truth_free(&truth);
  free(rgb);
  return failed;
}

int board_save_new(const board *b, char *path) {
  int file = mkstemp(path);
  if (file < 0) return 1;
  close(file);
  return board_save(b, path);
}
