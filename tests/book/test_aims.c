/* Patterns, targets, tones, photos and work, as the book keeps them. */
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

/* ---- work ---------------------------------------------------------------------------------------------- */

static int64_t work_make(shop *s) {
  dw_error err;
  int64_t id, pattern = pattern_make(s->book, "shad");
  in_change(s->book,
            dw_work_add(s->book, pattern, "shad, first try", "[]", "{\"thickness_mm\": 10}", &id, &err));
  return id;
}

static void cups_set(shop *s, int64_t id, int64_t revision, int value) {
  dw_error err;
  char cups[32];
  snprintf(cups, sizeof cups, "[%d]", value);
  in_change(s->book, dw_work_save(s->book, id, revision, &(dw_work_change){.cups = cups}, &err));
}

static void test_work_revision(void **state) {
  shop *s = *state;
  dw_error err;
  dw_work work;
  int64_t id = work_make(s);
  cups_set(s, id, 1, 7);
  expect(dw_work_get(s->book, id, &work, &err), DW_OK, err);
  assert_int_equal(work.revision, 2);
  assert_string_equal(work.cups, "[7]");
  assert_string_equal(work.slab, "{\"thickness_mm\": 10}");
  assert_string_equal(work.marks, "{}");
  assert_true(work.can_undo);
  dw_work_free(&work);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_work_save(s->book, id, 1, &(dw_work_change){.cups = "[8]"}, &err), DW_REFUSED, err);
  expect(dw_work_save(s->book, id, 2, &(dw_work_change){.cups = "{}"}, &err), DW_BAD_INPUT, err);
  expect(dw_work_save(s->book, id, 2, &(dw_work_change){.cups = "[8"}, &err), DW_BAD_INPUT, err);
  expect(dw_work_save(s->book, id, 2, &(dw_work_change){.photo = HASH}, &err), DW_BAD_INPUT, err);
  expect(dw_work_save(s->book, 99, 1, &(dw_work_change){.cups = "[]"}, &err), DW_NOT_FOUND, err);
  dw_book_rollback(s->book);
}

/* All of DW_WORK_STEPS_MAX steps back; one more is refused, and the revision has grown all the while. */
static void test_work_undo(void **state) {
  shop *s = *state;
  dw_error err;
  dw_work work;
  dw_work_undone undone;
  int64_t id = work_make(s), revision = 1;
  for (int i = 1; i <= DW_WORK_STEPS_MAX + 5; i++) cups_set(s, id, revision++, i);
  for (int i = DW_WORK_STEPS_MAX + 4; i >= 5; i--) {
    char expected[32];
    snprintf(expected, sizeof expected, "[%d]", i);
    in_change(s->book, dw_work_undo(s->book, id, &undone, &err));
    expect(dw_work_get(s->book, id, &work, &err), DW_OK, err);
    assert_string_equal(work.cups, expected);
    assert_int_equal(work.revision, ++revision);
    dw_work_free(&work);
  }
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_work_undo(s->book, id, &undone, &err), DW_REFUSED, err);
  dw_book_rollback(s->book);
}

/* A batch that was begun apart from a step stays with the work, whatever is taken back. */
static void test_work_batch(void **state) {
  shop *s = *state;
  dw_error err;
  dw_work work;
  dw_work_undone undone;
  dw_work_title *titles = NULL;
  size_t n = 0;
  int64_t batch, id = work_make(s);
  expect(dw_work_get(s->book, id, &work, &err), DW_OK, err);
  in_change(s->book, dw_batch_begin(s->book, work.pattern, NULL, NULL, &batch, &err));
  in_change(s->book, dw_work_save(s->book, id, 1, &(dw_work_change){.cups = "[1]", .batch = &batch}, &err));
  in_change(s->book, dw_work_undo(s->book, id, &undone, &err));
  dw_work_free(&work);
  expect(dw_work_get(s->book, id, &work, &err), DW_OK, err);
  assert_string_equal(work.cups, "[]");
  assert_int_equal(work.batch, batch);
  assert_false(work.can_undo);
  dw_work_free(&work);
  expect(dw_work_list(s->book, &titles, &n, &err), DW_OK, err);
  assert_int_equal(n, 1);
  assert_string_equal(titles[0].pattern, "shad");
  assert_int_equal(titles[0].revision, 3);
  free(titles);
  in_change(s->book, dw_work_remove(s->book, id, &err));
}

/* A step that begins a batch with one reading. */
static int64_t step_measure(shop *s, int64_t work, int64_t revision, int64_t layer) {
  dw_error err;
  dw_book_mark mark;
  dw_work row;
  dw_book_reading reading = {.layer = layer, .lab = {40, 10, 20}};
  int64_t cup, id;
  expect(dw_work_get(s->book, work, &row, &err), DW_OK, err);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_mark_get(s->book, &mark, &err), DW_OK, err);
  expect(dw_batch_begin(s->book, row.pattern, NULL, NULL, &reading.batch, &err), DW_OK, err);
  expect(dw_book_cup_begin(s->book, reading.batch, layer, 4, 5, &cup, &err), DW_OK, err);
  expect(dw_book_cup_add(s->book, cup, NULL, 0.5, &err), DW_OK, err);
  dw_pour pour = {.cup = cup, .slab = {10, 0.2}};
  expect(dw_pour_log(s->book, &pour, &reading.pour, &err), DW_OK, err);
  expect(dw_reading_log(s->book, &reading, &id, &err), DW_OK, err);
  dw_work_change change = {.cups = "[1]", .batch = &reading.batch, .made = &mark};
  expect(dw_work_save(s->book, work, revision, &change, &err), DW_OK, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  dw_work_free(&row);
  return reading.batch;
}

static void expect_batch(shop *s, int64_t work, int64_t batch) {
  dw_error err;
  dw_work row;
  expect(dw_work_get(s->book, work, &row, &err), DW_OK, err);
  assert_int_equal(row.batch, batch);
  dw_work_free(&row);
}

/* What a step made goes with it, what it closed is open again; but not when others have built on it. */
static void test_work_made(void **state) {
  shop *s = *state;
  dw_error err;
  dw_work_undone undone;
  dw_batch before, after;
  dw_pattern pattern;
  int64_t none = 0, reading, work = work_make(s);
  expect(dw_pattern_find(s->book, "shad", &pattern, &err), DW_OK, err);
  int64_t batch = step_measure(s, work, 1, pattern.layer[0].id);
  expect(dw_batch_get(s->book, batch, &before, &err), DW_OK, err);
  in_change(s->book, dw_batch_set_good(s->book, batch, true, &err));
  dw_work_change closing = {.cups = "[]", .batch = &none, .closed = &before};
  in_change(s->book, dw_work_save(s->book, work, 2, &closing, &err));
  expect_batch(s, work, 0);

  in_change(s->book, dw_work_undo(s->book, work, &undone, &err));
  assert_true(undone.opened && !undone.batch_gone && undone.readings == 0);
  expect_batch(s, work, batch);
  expect(dw_batch_get(s->book, batch, &after, &err), DW_OK, err);
  assert_false(after.good);

  dw_book_reading other = {.batch = batch, .layer = pattern.layer[0].id, .lab = {41, 10, 20}};
  in_change(s->book, dw_reading_log(s->book, &other, &reading, &err));
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_work_undo(s->book, work, &undone, &err), DW_REFUSED, err);
  dw_book_rollback(s->book);
  expect_batch(s, work, batch);

  in_change(s->book, dw_batch_remove(s->book, batch, &err));
  in_change(s->book, dw_work_undo(s->book, work, &undone, &err)); /* nothing of it is left */
  assert_true(undone.readings == 0 && !undone.batch_gone);
  expect_batch(s, work, 0);

  batch = step_measure(s, work, 5, pattern.layer[0].id);
  in_change(s->book, dw_work_undo(s->book, work, &undone, &err));
  assert_true(undone.readings == 1 && undone.batch_gone && !undone.opened && !undone.learned_since);
  expect_batch(s, work, 0);
  expect(dw_batch_get(s->book, batch, &after, &err), DW_NOT_FOUND, err);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_pattern),   book_test(test_pattern_refused), book_test(test_target_history),
      book_test(test_tone),      book_test(test_photo),           book_test(test_work_revision),
      book_test(test_work_undo), book_test(test_work_batch),      book_test(test_work_made),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
