/* Patterns, targets, tones and photos, as the book keeps them. */
#include "book_local.h"

static const char HASH[] = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

static void test_pattern(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  int64_t id = pattern_make(s->book, "creek crawfish");
  expect(dw_pattern_find(s->book, "creek crawfish", &pattern, &err), DW_OK, err);
  assert_int_equal(pattern.id, id);
  assert_int_equal(pattern.n, 3);
  assert_string_equal(pattern.layer[2].name, "belly");
  assert_false(pattern.layer[0].has_target);
  assert_true(pattern.layer[0].see_through == -1);
  in_change(s->book, dw_pattern_set_see_through(s->book, pattern.layer[1].id, 0.6, &err));
  in_change(s->book, dw_pattern_rename(s->book, id, "bluegill", &err));
  in_change(s->book, dw_pattern_set_note(s->book, id, "line one\nline two", &err));
  expect(dw_pattern_get(s->book, id, &pattern, &err), DW_OK, err);
  assert_string_equal(pattern.name, "bluegill");
  assert_string_equal(pattern.note, "line one\nline two");
  assert_near(pattern.layer[1].see_through, 0.6, 0);
  expect(dw_pattern_find(s->book, "creek crawfish", &pattern, &err), DW_NOT_FOUND, err);
  in_change(s->book, dw_pattern_remove(s->book, id, &err));
  expect(dw_pattern_get(s->book, id, &pattern, &err), DW_NOT_FOUND, err);
}

static void test_pattern_refused(void **state) {
  shop *s = *state;
  dw_error err;
  int64_t id;
  static const char *const twice[] = {"back", "back"};
  static const char *const odd[] = {"ba\033ck"};
  static const char *const fine[] = {"back"};
  pattern_make(s->book, "frog");
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_pattern_add(s->book, "x", "", twice, 2, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_add(s->book, "x", "", odd, 1, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_add(s->book, "x", "", fine, 0, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_add(s->book, "", "", fine, 1, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_add(s->book, " x", "", fine, 1, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_add(s->book, "\xff\xfe", "", fine, 1, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_add(s->book, "frog", "", fine, 1, &id, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_set_see_through(s->book, 1, 1.5, &err), DW_BAD_INPUT, err);
  expect(dw_pattern_set_see_through(s->book, 999, 0.5, &err), DW_NOT_FOUND, err);
  dw_book_rollback(s->book);
}

static void test_target_history(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_target_past *past = NULL;
  size_t n = 0;
  int64_t photo, id = pattern_make(s->book, "minnow");
  expect(dw_pattern_get(s->book, id, &pattern, &err), DW_OK, err);
  int64_t layer = pattern.layer[0].id;
  dw_book_photo kept = {.path = "p.jpg", .sha256 = HASH, .width = 40, .height = 30, .taken = ""};
  dw_target first = {.lab = {40, 10, 20}, .how = DW_TARGET_NUMBERS};
  dw_target second = {.lab = {41, 11, 21},
                      .uncertainty_de00 = 0.6,
                      .how = DW_TARGET_PHOTO,
                      .detail = "{\"light\": \"grid24\"}"};
  in_change(s->book, dw_photo_keep(s->book, &kept, &photo, &err));
  second.photo = photo;
  in_change(s->book, dw_target_set(s->book, layer, &first, &err));
  in_change(s->book, dw_target_set(s->book, layer, &second, &err));
  expect(dw_pattern_get(s->book, id, &pattern, &err), DW_OK, err);
  assert_true(pattern.layer[0].has_target);
  assert_near(pattern.layer[0].target.L, 41, 0);
  assert_int_equal(pattern.layer[0].target_how, DW_TARGET_PHOTO);
  expect(dw_target_history(s->book, layer, &past, &n, &err), DW_OK, err);
  assert_int_equal(n, 2);
  assert_near(past[0].lab.b, 21, 0);
  assert_string_equal(past[0].photo, HASH);
  assert_string_equal(past[0].detail, "{\"light\": \"grid24\"}");
  assert_string_equal(past[1].photo, "");
  dw_target_history_free(past, n);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  second.detail = "[1]";
  expect(dw_target_set(s->book, layer, &second, &err), DW_BAD_INPUT, err);
  first.lab.a = 1000;
  expect(dw_target_set(s->book, layer, &first, &err), DW_BAD_INPUT, err);
  first.lab.a = NAN;
  expect(dw_target_set(s->book, layer, &first, &err), DW_BAD_INPUT, err);
  dw_book_rollback(s->book);
}

static void test_tone(void **state) {
  shop *s = *state;
  dw_error err;
  dw_tone tone;
  dw_lab *colors = NULL;
  size_t n = 0;
  int64_t id;
  in_change(s->book, dw_tone_add(s->book, "crawfish belly", "", true, &id, &err));
  in_change(s->book, dw_tone_color_add(s->book, id, (dw_lab){60, 10, 20}, 0, NULL, &err));
  in_change(s->book, dw_tone_color_add(s->book, id, (dw_lab){62, 12, 24}, 0, NULL, &err));
  expect(dw_tone_find(s->book, "crawfish belly", &tone, &err), DW_OK, err);
  assert_true(tone.invented);
  assert_int_equal(tone.n, 2);
  expect(dw_tone_colors(s->book, id, &colors, &n, &err), DW_OK, err);
  assert_int_equal(n, 2);
  assert_near(colors[1].b, 24, 0);
  free(colors);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_tone_color_add(s->book, 99, (dw_lab){60, 10, 20}, 0, NULL, &err), DW_NOT_FOUND, err);
  expect(dw_tone_add(s->book, "crawfish belly", "", false, &id, &err), DW_BAD_INPUT, err);
  dw_book_rollback(s->book);
}

static void test_photo(void **state) {
  shop *s = *state;
  dw_error err;
  int64_t id, again;
  dw_photo_kept kept;
  uint8_t *bytes = NULL;
  size_t n = 0;
  dw_book_photo photo = {
      .path = "a.jpg", .sha256 = HASH, .width = 40, .height = 30, .taken = "2026-05-01 14:03:22"};
  in_change(s->book, dw_photo_keep(s->book, &photo, &id, &err));
  expect(dw_photo_kept_preview(s->book, id, &bytes, &n, &err), DW_NOT_FOUND, err);
  photo.path = "b.jpg";
  photo.preview = (const uint8_t *)"\0\1\2";
  photo.preview_bytes = 3;
  in_change(s->book, dw_photo_keep(s->book, &photo, &again, &err));
  assert_int_equal(id, again);
  expect(dw_photo_get(s->book, id, &kept, &err), DW_OK, err);
  assert_string_equal(kept.path, "b.jpg");
  assert_string_equal(kept.taken, "2026-05-01 14:03:22");
  expect(dw_photo_kept_preview(s->book, id, &bytes, &n, &err), DW_OK, err);
  assert_int_equal(n, 3);
  assert_memory_equal(bytes, "\0\1\2", 3);
  free(bytes);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  photo.sha256 = "abc";
  expect(dw_photo_keep(s->book, &photo, &id, &err), DW_BAD_INPUT, err);
  dw_book_rollback(s->book);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_pattern), book_test(test_pattern_refused), book_test(test_target_history),
      book_test(test_tone),    book_test(test_photo),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
