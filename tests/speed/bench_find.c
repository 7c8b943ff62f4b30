/* How long the search for a card takes, and the reduced decoding before it: milliseconds, the best of five.
 * Beside it: time djpeg of the same file. */
#include "dropwise/card_find.h"

#include <stdio.h>
#include <time.h>

static double clock_ms(clockid_t clock) {
  struct timespec t;
  clock_gettime(clock, &t);
  return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

static double now_ms(void) {
  return clock_ms(CLOCK_MONOTONIC);
}

/* The search runs in this process alone; decoding does not. */
static double cpu_ms(void) {
  return clock_ms(CLOCK_PROCESS_CPUTIME_ID);
}

static dw_status measure(const char *path, double *decode_ms, double *find_ms, dw_corners *corners,
                         dw_error *err) {
  dw_photo *photo = NULL;
  dw_preview view;
  dw_arena *arena = dw_arena_new(0);
  const double begin = now_ms();
  dw_status status = dw_photo_open(path, NULL, &photo, err);
  const dw_photo_info *info = status == DW_OK ? dw_photo_info_get(photo) : NULL;
  if (info)
    status = dw_photo_preview(photo, dw_card_find_side(info->width, info->height), arena, &view, err);
  const double decoded = now_ms(), searching = cpu_ms();
  if (status == DW_OK) status = dw_card_find_in(&view, path, dw_card_named("grid24"), corners, err);
  *decode_ms = decoded - begin;
  *find_ms = cpu_ms() - searching;
  dw_photo_close(photo);
  dw_arena_free(arena);
  return status;
}

static void report(const char *path) {
  double decode_least = 1e9, find_least = 1e9, decode_ms, find_ms;
  dw_corners corners;
  dw_error err;
  dw_status status = DW_OK;
  for (int run = 0; run < 5; run++) {
    status = measure(path, &decode_ms, &find_ms, &corners, &err);
    decode_least = decode_ms < decode_least ? decode_ms : decode_least;
    find_least = find_ms < find_least ? find_ms : find_least;
  }
  printf("%s: reduced decoding %.0f ms, search %.0f ms: %s\n", path, decode_least, find_least,
         status == DW_OK ? "found" : err.text);
}

int main(int argc, char **argv) {
  if (argc < 2) {
    fprintf(stderr, "usage: bench_find PHOTO...\n");
    return 2;
  }
  for (int i = 1; i < argc; i++) report(argv[i]);
  return 0;
}
