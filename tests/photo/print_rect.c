/* Prints the mean Lab of rectangles of a photo, one line each: check_real_photo.py compares them.
 * Usage: print_rect PHOTO X,Y,WxH... */
#include "dropwise/color.h"
#include "dropwise/photo.h"

#include <stdio.h>

static void print_mean_lab(const dw_patch *patch) {
  size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
  double sum[3] = {0};
  for (size_t i = 0; i < n; i++) {
    double rgb[3] = {(double)patch->rgb[3 * i], (double)patch->rgb[3 * i + 1], (double)patch->rgb[3 * i + 2]};
    dw_lab lab = dw_lab_from_xyz(dw_xyz_from_linear(rgb));
    sum[0] += lab.L;
    sum[1] += lab.a;
    sum[2] += lab.b;
  }
  printf("%.6f %.6f %.6f\n", sum[0] / (double)n, sum[1] / (double)n, sum[2] / (double)n);
}

int main(int argc, char **argv) {
  dw_error err;
  dw_photo *photo = NULL;
  dw_patch patch;
  dw_rect rect;
  if (argc < 3) return 2;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? dw_photo_open(argv[1], NULL, &photo, &err) : dw_fail_memory(&err, "an arena");
  for (int i = 2; status == DW_OK && i < argc; i++) {
    if (sscanf(argv[i], "%d,%d,%dx%d", &rect.x, &rect.y, &rect.w, &rect.h) != 4)
      status = dw_fail(&err, DW_USAGE, "%s is not X,Y,WxH.", argv[i]);
    if (status == DW_OK) status = dw_photo_patches(photo, &rect, 1, arena, &patch, &err);
    if (status == DW_OK) print_mean_lab(&patch);
  }
  if (status != DW_OK) fprintf(stderr, "%s\n", err.text);
  dw_photo_close(photo);
  dw_arena_free(arena);
  return dw_status_exit_code(status);
}
