/* Prints the mean Lab of rectangles of a photo, one line each: check_real_photo.py compares them.
 * Usage: print_rect PHOTO X,Y,WxH... */
#include "pourtone/color.h"
#include "pourtone/photo.h"

#include <stdio.h>

static void print_mean_lab(const pt_patch *patch) {
  size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
  double sum[3] = {0};
  for (size_t i = 0; i < n; i++) {
    double rgb[3] = {(double)patch->rgb[3 * i], (double)patch->rgb[3 * i + 1], (double)patch->rgb[3 * i + 2]};
    pt_lab lab = pt_lab_from_xyz(pt_xyz_from_linear(rgb));
    sum[0] += lab.L;
    sum[1] += lab.a;
    sum[2] += lab.b;
  }
  printf("%.6f %.6f %.6f\n", sum[0] / (double)n, sum[1] / (double)n, sum[2] / (double)n);
}

int main(int argc, char **argv) {
  pt_error err;
  pt_photo *photo = NULL;
  pt_patch patch;
  pt_rect rect;
  if (argc < 3) return 2;
  pt_arena *arena = pt_arena_new(0);
  pt_status status = arena ? pt_photo_open(argv[1], NULL, &photo, &err) : pt_fail_memory(&err, "an arena");
  for (int i = 2; status == PT_OK && i < argc; i++) {
    if (sscanf(argv[i], "%d,%d,%dx%d", &rect.x, &rect.y, &rect.w, &rect.h) != 4)
      status = pt_fail(&err, PT_USAGE, "%s is not X,Y,WxH.", argv[i]);
    if (status == PT_OK) status = pt_photo_patches(photo, &rect, 1, arena, &patch, &err);
    if (status == PT_OK) print_mean_lab(&patch);
  }
  if (status != PT_OK) fprintf(stderr, "%s\n", err.text);
  pt_photo_close(photo);
  pt_arena_free(arena);
  return pt_status_exit_code(status);
}
