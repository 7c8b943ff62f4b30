/* Patterns, targets, tones, photos and work, as the book keeps them. */
#include "book_local.h"

static const char HASH[] = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

static void test_pattern(void **state) {
  shop *s = *state;
  pt_error err;
  pt_pattern pattern;
  int64_t id = pattern_make(s->book, "creek crawfish");
  expect(pt_pattern_find(s->book, "creek crawfish", &pattern, &err), PT_OK, err);
  assert_int_equal(pattern.id, id);
  assert_int_equal(pattern.n, 3);
  assert_string_equal(pattern.layer[2].name, "belly");
  assert_false(pattern.layer[0].has_target);
  assert_true(pattern.layer[0].see_through == -1);
  in_change(s->book, pt_pattern_set_see_through(s->book, pattern.layer[1].id, 0.6, &err));
  in_change(s->book, pt_pattern_rename(s->book, id, "bluegill", &err));
  in_change(s->book, pt_pattern_set_note(s->book, id, "line one\nline two", &err));
  expect(pt_pattern_get(s->book, id, &pattern, &err), PT_OK, err);
  assert_string_equal(pattern.name, "bluegill");
  assert_string_equal(pattern.note, "line one\nline two");
  assert_near(pattern.layer[1].see_through, 0.6, 0);
  expect(pt_pattern_find(s->book, "creek crawfish", &pattern, &err), PT_NOT_FOUND, err);
  in_change(s->book, pt_pattern_remove(s->book, id, &err));
  expect(pt_pattern_get(s->book, id, &pattern, &err), PT_NOT_FOUND, err);
}

static void test_pattern_refused(void **state) {
  shop *s = *state;
  pt_error err;
  int64_t id;
  static const char *const twice[] = {"back", "back"};
  static const char *const odd[] = {"ba\033ck"};
  static const char *const fine[] = {"back"};
  pattern_make(s->book, "frog");
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  expect(pt_pattern_add(s->book, "x", "", twice, 2, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_add(s->book, "x", "", odd, 1, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_add(s->book, "x", "", fine, 0, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_add(s->book, "", "", fine, 1, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_add(s->book, " x", "", fine, 1, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_add(s->book, "\xff\xfe", "", fine, 1, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_add(s->book, "frog", "", fine, 1, &id, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_set_see_through(s->book, 1, 1.5, &err), PT_BAD_INPUT, err);
  expect(pt_pattern_set_see_through(s->book, 999, 0.5, &err), PT_NOT_FOUND, err);
  pt_book_rollback(s->book);
}

static void test_target_history(void **state) {
  shop *s = *state;
  pt_error err;
  pt_pattern pattern;
  pt_target_past *past = NULL;
  size_t n = 0;
  int64_t photo, id = pattern_make(s->book, "minnow");
  expect(pt_pattern_get(s->book, id, &pattern, &err), PT_OK, err);
  int64_t layer = pattern.layer[0].id;
  pt_book_photo kept = {.path = "p.jpg", .sha256 = HASH, .width = 40, .height = 30, .taken = ""};
  pt_target first = {.lab = {40, 10, 20}, .how = PT_TARGET_NUMBERS};
  pt_target second = {.lab = {41, 11, 21},
                      .uncertainty_de00 = 0.6,
                      .how = PT_TARGET_PHOTO,
                      .detail = "{\"light\": \"grid24\"}"};
  in_change(s->book, pt_photo_keep(s->book, &kept, &photo, &err));
  second.photo = photo;
  in_change(s->book, pt_target_set(s->book, layer, &first, &err));
  in_change(s->book, pt_target_set(s->book, layer, &second, &err));
  expect(pt_pattern_get(s->book, id, &pattern, &err), PT_OK, err);
  assert_true(pattern.layer[0].has_target);
  assert_near(pattern.layer[0].target.L, 41, 0);
  assert_int_equal(pattern.layer[0].target_how, PT_TARGET_PHOTO);
  expect(pt_target_history(s->book, layer, &past, &n, &err), PT_OK, err);
  assert_int_equal(n, 2);
  assert_near(past[0].lab.b, 21, 0);
  assert_string_equal(past[0].photo, HASH);
  assert_string_equal(past[0].detail, "{\"light\": \"grid24\"}");
  assert_string_equal(past[1].photo, "");
  pt_target_history_free(past, n);
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  second.detail = "[1]";
  expect(pt_target_set(s->book, layer, &second, &err), PT_BAD_INPUT, err);
  first.lab.a = 1000;
  expect(pt_target_set(s->book, layer, &first, &err), PT_BAD_INPUT, err);
  first.lab.a = NAN;
  expect(pt_target_set(s->book, layer, &first, &err), PT_BAD_INPUT, err);
  pt_book_rollback(s->book);
}

static void test_tone(void **state) {
  shop *s = *state;
  pt_error err;
  pt_tone tone;
  pt_lab *colors = NULL;
  size_t n = 0;
  int64_t id;
  in_change(s->book, pt_tone_add(s->book, "crawfish belly", "", true, &id, &err));
  in_change(s->book, pt_tone_color_add(s->book, id, (pt_lab){60, 10, 20}, 0, NULL, &err));
  in_change(s->book, pt_tone_color_add(s->book, id, (pt_lab){62, 12, 24}, 0, NULL, &err));
  expect(pt_tone_find(s->book, "crawfish belly", &tone, &err), PT_OK, err);
  assert_true(tone.invented);
  assert_int_equal(tone.n, 2);
  expect(pt_tone_colors(s->book, id, &colors, &n, &err), PT_OK, err);
  assert_int_equal(n, 2);
  assert_near(colors[1].b, 24, 0);
  free(colors);
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  expect(pt_tone_color_add(s->book, 99, (pt_lab){60, 10, 20}, 0, NULL, &err), PT_NOT_FOUND, err);
  expect(pt_tone_add(s->book, "crawfish belly", "", false, &id, &err), PT_BAD_INPUT, err);
  pt_book_rollback(s->book);
}

static void test_photo(void **state) {
  shop *s = *state;
  pt_error err;
  int64_t id, again;
  pt_photo_kept kept;
  uint8_t *bytes = NULL;
  size_t n = 0;
  pt_book_photo photo = {
      .path = "a.jpg", .sha256 = HASH, .width = 40, .height = 30, .taken = "2026-05-01 14:03:22"};
  in_change(s->book, pt_photo_keep(s->book, &photo, &id, &err));
  expect(pt_photo_kept_preview(s->book, id, &bytes, &n, &err), PT_NOT_FOUND, err);
  photo.path = "b.jpg";
  photo.preview = (const uint8_t *)"\0\1\2";
  photo.preview_bytes = 3;
  in_change(s->book, pt_photo_keep(s->book, &photo, &again, &err));
  assert_int_equal(id, again);
  expect(pt_photo_get(s->book, id, &kept, &err), PT_OK, err);
  assert_string_equal(kept.path, "b.jpg");
  assert_string_equal(kept.taken, "2026-05-01 14:03:22");
  expect(pt_photo_kept_preview(s->book, id, &bytes, &n, &err), PT_OK, err);
  assert_int_equal(n, 3);
  assert_memory_equal(bytes, "\0\1\2", 3);
  free(bytes);
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  photo.sha256 = "abc";
  expect(pt_photo_keep(s->book, &photo, &id, &err), PT_BAD_INPUT, err);
  pt_book_rollback(s->book);
}

/* ---- work ---------------------------------------------------------------------------------------------- */

static int64_t work_make(shop *s) {
  pt_error err;
  int64_t id, pattern = pattern_make(s->book, "shad");
  in_change(s->book,
            pt_work_add(s->book, pattern, "shad, first try", "[]", "{\"thickness_mm\": 10}", &id, &err));
  return id;
}

static void cups_set(shop *s, int64_t id, int64_t revision, int value) {
  pt_error err;
  char cups[32];
  snprintf(cups, sizeof cups, "[%d]", value);
  in_change(s->book, pt_work_save(s->book, id, revision, &(pt_work_change){.cups = cups}, &err));
}

static void test_work_revision(void **state) {
  shop *s = *state;
  pt_error err;
  pt_work work;
  int64_t id = work_make(s);
  cups_set(s, id, 1, 7);
  expect(pt_work_get(s->book, id, &work, &err), PT_OK, err);
  assert_int_equal(work.revision, 2);
  assert_string_equal(work.cups, "[7]");
  assert_string_equal(work.slab, "{\"thickness_mm\": 10}");
  assert_string_equal(work.marks, "{}");
  assert_true(work.can_undo);
  pt_work_free(&work);
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  expect(pt_work_save(s->book, id, 1, &(pt_work_change){.cups = "[8]"}, &err), PT_REFUSED, err);
  expect(pt_work_save(s->book, id, 2, &(pt_work_change){.cups = "{}"}, &err), PT_BAD_INPUT, err);
  expect(pt_work_save(s->book, id, 2, &(pt_work_change){.cups = "[8"}, &err), PT_BAD_INPUT, err);
  expect(pt_work_save(s->book, id, 2, &(pt_work_change){.photo = HASH}, &err), PT_BAD_INPUT, err);
  expect(pt_work_save(s->book, 99, 1, &(pt_work_change){.cups = "[]"}, &err), PT_NOT_FOUND, err);
  pt_book_rollback(s->book);
}

/* All of PT_WORK_STEPS_MAX steps back; one more is refused, and the revision has grown all the while. */
static void test_work_undo(void **state) {
  shop *s = *state;
  pt_error err;
  pt_work work;
  pt_work_undone undone;
  int64_t id = work_make(s), revision = 1;
  for (int i = 1; i <= PT_WORK_STEPS_MAX + 5; i++) cups_set(s, id, revision++, i);
  for (int i = PT_WORK_STEPS_MAX + 4; i >= 5; i--) {
    char expected[32];
    snprintf(expected, sizeof expected, "[%d]", i);
    in_change(s->book, pt_work_undo(s->book, id, &undone, &err));
    expect(pt_work_get(s->book, id, &work, &err), PT_OK, err);
    assert_string_equal(work.cups, expected);
    assert_int_equal(work.revision, ++revision);
    pt_work_free(&work);
  }
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  expect(pt_work_undo(s->book, id, &undone, &err), PT_REFUSED, err);
  pt_book_rollback(s->book);
}

/* A batch that was begun apart from a step stays with the work, whatever is taken back. */
static void test_work_batch(void **state) {
  shop *s = *state;
  pt_error err;
  pt_work work;
  pt_work_undone undone;
  pt_work_title *titles = NULL;
  size_t n = 0;
  int64_t batch, id = work_make(s);
  expect(pt_work_get(s->book, id, &work, &err), PT_OK, err);
  in_change(s->book, pt_batch_begin(s->book, work.pattern, NULL, NULL, &batch, &err));
  in_change(s->book, pt_work_save(s->book, id, 1, &(pt_work_change){.cups = "[1]", .batch = &batch}, &err));
  in_change(s->book, pt_work_undo(s->book, id, &undone, &err));
  pt_work_free(&work);
  expect(pt_work_get(s->book, id, &work, &err), PT_OK, err);
  assert_string_equal(work.cups, "[]");
  assert_int_equal(work.batch, batch);
  assert_false(work.can_undo);
  pt_work_free(&work);
  expect(pt_work_list(s->book, &titles, &n, &err), PT_OK, err);
  assert_int_equal(n, 1);
  assert_string_equal(titles[0].pattern, "shad");
  assert_int_equal(titles[0].revision, 3);
  free(titles);
  in_change(s->book, pt_work_remove(s->book, id, &err));
}

/* A step that begins a batch with one reading. */
static int64_t step_measure(shop *s, int64_t work, int64_t revision, int64_t layer) {
  pt_error err;
  pt_book_mark mark;
  pt_work row;
  pt_book_reading reading = {.layer = layer, .lab = {40, 10, 20}};
  int64_t cup, id;
  expect(pt_work_get(s->book, work, &row, &err), PT_OK, err);
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  expect(pt_book_mark_get(s->book, &mark, &err), PT_OK, err);
  expect(pt_batch_begin(s->book, row.pattern, NULL, NULL, &reading.batch, &err), PT_OK, err);
  expect(pt_book_cup_begin(s->book, reading.batch, layer, 4, 5, &cup, &err), PT_OK, err);
  expect(pt_book_cup_add(s->book, cup, NULL, 0.5, &err), PT_OK, err);
  pt_pour pour = {.cup = cup, .slab = {10, 0.2}};
  expect(pt_pour_log(s->book, &pour, &reading.pour, &err), PT_OK, err);
  expect(pt_reading_log(s->book, &reading, &id, &err), PT_OK, err);
  pt_work_change change = {.cups = "[1]", .batch = &reading.batch, .made = &mark};
  expect(pt_work_save(s->book, work, revision, &change, &err), PT_OK, err);
  expect(pt_book_commit(s->book, &err), PT_OK, err);
  pt_work_free(&row);
  return reading.batch;
}

static void expect_batch(shop *s, int64_t work, int64_t batch) {
  pt_error err;
  pt_work row;
  expect(pt_work_get(s->book, work, &row, &err), PT_OK, err);
  assert_int_equal(row.batch, batch);
  pt_work_free(&row);
}

/* What a step made goes with it, what it closed is open again; but not when others have built on it. */
static void test_work_made(void **state) {
  shop *s = *state;
  pt_error err;
  pt_work_undone undone;
  pt_batch before, after;
  pt_pattern pattern;
  int64_t none = 0, reading, work = work_make(s);
  expect(pt_pattern_find(s->book, "shad", &pattern, &err), PT_OK, err);
  int64_t batch = step_measure(s, work, 1, pattern.layer[0].id);
  expect(pt_batch_get(s->book, batch, &before, &err), PT_OK, err);
  in_change(s->book, pt_batch_set_good(s->book, batch, true, &err));
  pt_work_change closing = {.cups = "[]", .batch = &none, .closed = &before};
  in_change(s->book, pt_work_save(s->book, work, 2, &closing, &err));
  expect_batch(s, work, 0);

  in_change(s->book, pt_work_undo(s->book, work, &undone, &err));
  assert_true(undone.opened && !undone.batch_gone && undone.readings == 0);
  expect_batch(s, work, batch);
  expect(pt_batch_get(s->book, batch, &after, &err), PT_OK, err);
  assert_false(after.good);

  pt_book_reading other = {.batch = batch, .layer = pattern.layer[0].id, .lab = {41, 10, 20}};
  in_change(s->book, pt_reading_log(s->book, &other, &reading, &err));
  expect(pt_book_begin(s->book, &err), PT_OK, err);
  expect(pt_work_undo(s->book, work, &undone, &err), PT_REFUSED, err);
  pt_book_rollback(s->book);
  expect_batch(s, work, batch);

  in_change(s->book, pt_batch_remove(s->book, batch, &err));
  in_change(s->book, pt_work_undo(s->book, work, &undone, &err)); /* nothing of it is left */
  assert_true(undone.readings == 0 && !undone.batch_gone);
  expect_batch(s, work, 0);

  batch = step_measure(s, work, 5, pattern.layer[0].id);
  in_change(s->book, pt_work_undo(s->book, work, &undone, &err));
  assert_true(undone.readings == 1 && undone.batch_gone && !undone.opened && !undone.learned_since);
  expect_batch(s, work, 0);
  expect(pt_batch_get(s->book, batch, &after, &err), PT_NOT_FOUND, err);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_pattern),   book_test(test_pattern_refused), book_test(test_target_history),
      book_test(test_tone),      book_test(test_photo),           book_test(test_work_revision),
      book_test(test_work_undo), book_test(test_work_batch),      book_test(test_work_made),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
