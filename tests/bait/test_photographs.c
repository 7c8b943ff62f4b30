/* Photographs and drawings in which no bait lies: none is invented.
 * test_photographs [ROOT]: a folder that further packages were unpacked to, as apt-get download and dpkg-deb
 * -x do. */
#include "check.h"

#include "dropwise/bait.h"
#include "photographs.h"

static const char *root = "";

typedef struct looked {
  size_t photos, with_baits, unread;
} looked;

static void find_none(const char *path, dw_photo *photo, const dw_preview *view, const dw_light *light,
                      looked *count) {
  dw_baits baits;
  dw_error err;
  dw_arena *arena = dw_arena_new(0);
  assert_int_equal(dw_baits_find_in(photo, view, &(dw_bait_rules){0}, light, arena, &baits, &err), DW_OK);
  count->photos++;
  count->with_baits += baits.n > 0;
  if (baits.n) printf("%s: %zu baits invented\n", path, baits.n);
  assert_true(baits.n || baits.notes.n); /* it says why there are none */
  dw_arena_free(arena);
}

static void look_at(const char *path, const dw_light *light, looked *count) {
  dw_photo *photo = NULL;
  dw_preview view;
  dw_error err;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = dw_photo_open(path, NULL, &photo, &err);
  if (status == DW_OK) {
    const dw_photo_info *info = dw_photo_info_get(photo);
    status = dw_photo_preview(photo, dw_bait_view_side(info->width, info->height), arena, &view, &err);
  }
  if (status == DW_OK) {
    find_none(path, photo, &view, light, count);
  } else {
    printf("not read: %s\n", err.text);
    count->unread++;
  }
  dw_photo_close(photo);
  dw_arena_free(arena);
}

static void no_bait_invented(void **state) {
  looked all = {0};
  dw_light *light;
  (void)state;
  assert_int_equal(dw_light_none(&light, NULL), DW_OK);
  for (size_t f = 0; f < PHOTOGRAPH_FOLDERS; f++) {
    glob_t found;
    photographs_in(root, photograph_folders[f][1], &found);
    printf("%s: %zu pictures in %s\n", photograph_folders[f][0], found.gl_pathc, photograph_folders[f][1]);
    for (size_t i = 0; i < found.gl_pathc; i++)
      if (photograph_wanted(found.gl_pathv[i])) look_at(found.gl_pathv[i], light, &all);
    globfree(&found);
  }
  dw_light_free(light);
  printf("%zu pictures looked at, baits invented in %zu; not read: %zu\n", all.photos, all.with_baits,
         all.unread);
  if (!all.photos) skip();
  assert_int_equal(all.with_baits, 0);
}

int main(int argc, char **argv) {
  if (argc > 1) root = argv[1];
  const struct CMUnitTest tests[] = {cmocka_unit_test(no_bait_invented)};
  setvbuf(stdout, NULL, _IOLBF, 0);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
