/* One journal: each kind of entry is taken back and brought back, and the rest of the book stays as it is. */
#include "book_local.h"
#include "dropwise/book_journal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static char *exported(dw_book *book) {
  dw_error err;
  char *text = NULL;
  size_t n;
  expect(dw_book_export(book, DW_EXPORT_WITHOUT_JOURNAL, &text, &n, &err), DW_OK, err);
  return text;
}

/* ---- a book with something of everything --------------------------------------------------------------- */

typedef struct scene {
  dw_book *book;
  dw_pattern pattern;
  int64_t batch, cup, pour, reading, tone, photo;
} scene;

static const char hash[] = "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";

static dw_status log_reading(scene *at, double L, int64_t *id, dw_error *err) {
  dw_book_reading reading = {.batch = at->batch,
                             .layer = at->pattern.layer[2].id,
                             .pour = at->pour,
                             .lab = {L, 5, 15},
                             .kept = NAN,
                             .gloss = NAN,
                             .flake = NAN};
  return dw_reading_log(at->book, &reading, id, err);
}

static void set_scene(dw_book *book, scene *at) {
  dw_error err;
  *at = (scene){.book = book};
  int64_t id = pattern_make(book, "frog");
  expect(dw_pattern_get(book, id, &at->pattern, &err), DW_OK, err);
  expect(dw_book_begin(book, &err), DW_OK, err);
  expect(dw_batch_begin(book, id, "1", NULL, &at->batch, &err), DW_OK, err);
  expect(dw_book_cup_begin(book, at->batch, at->pattern.layer[2].id, 4, 5, &at->cup, &err), DW_OK, err);
  expect(dw_book_cup_add(book, at->cup, "orange", 12, &err), DW_OK, err);
  expect(dw_pour_log(book, &(dw_pour){.cup = at->cup, .slab = {10, 0.2}}, &at->pour, &err), DW_OK, err);
  expect(log_reading(at, 60, &at->reading, &err), DW_OK, err);
  expect(dw_tone_add(book, "claw", "", false, &at->tone, &err), DW_OK, err);
  dw_book_photo photo = {.path = "a.jpg",
                         .sha256 = hash,
                         .width = 4,
                         .height = 3,
                         .taken = "",
                         .preview = (const uint8_t *)"\0\1\xff",
                         .preview_bytes = 3};
  expect(dw_photo_keep(book, &photo, &at->photo, &err), DW_OK, err);
  expect(dw_book_commit(book, &err), DW_OK, err);
}

/* ---- each kind of entry -------------------------------------------------------------------------------- */

static dw_status do_drops(scene *at, dw_error *err) {
  return dw_book_cup_add(at->book, at->cup, "brown", 30, err);
}

static dw_status do_clear(scene *at, dw_error *err) {
  return dw_book_cup_add(at->book, at->cup, NULL, 0.5, err);
}

static dw_status do_correction(scene *at, dw_error *err) {
  return dw_book_cup_correct(at->book, at->cup, "orange", 9, err);
}

static dw_status do_new_cup(scene *at, dw_error *err) {
  int64_t batch, cup;
  dw_status status = dw_batch_begin(at->book, at->pattern.id, NULL, NULL, &batch, err);
  if (status == DW_OK) status = dw_book_cup_begin(at->book, batch, at->pattern.layer[0].id, 3, 5, &cup, err);
  return status == DW_OK ? dw_book_cup_add(at->book, cup, "black", 2, err) : status;
}

static dw_status do_batch(scene *at, dw_error *err) {
  int64_t batch;
  return dw_batch_begin(at->book, at->pattern.id, "spring", NULL, &batch, err);
}

static dw_status do_reading(scene *at, dw_error *err) {
  int64_t id;
  return log_reading(at, 61, &id, err);
}

/* The reading and what it taught. */
static dw_status do_learning(scene *at, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_learned learned;
  int64_t id;
  dw_status status = log_reading(at, 52, &id, err);
  if (status == DW_OK) status = dw_book_shelf(at->book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_learn(at->book, shelf, &learned, err);
  dw_shelf_free(shelf);
  return status;
}

static dw_status do_reading_removed(scene *at, dw_error *err) {
  return dw_reading_remove(at->book, at->reading, err);
}

static dw_status do_target(scene *at, dw_error *err) {
  return dw_target_set(at->book, at->pattern.layer[2].id,
                       &(dw_target){.lab = {67, 7, 20.1}, .how = DW_TARGET_NUMBERS}, err);
}

static dw_status do_good(scene *at, dw_error *err) {
  return dw_batch_set_good(at->book, at->batch, true, err);
}

static dw_status do_lot(scene *at, dw_error *err) {
  return dw_book_lot_add(at->book, "orange", "B", err);
}

static dw_status do_bottle(scene *at, dw_error *err) {
  int64_t id;
  return dw_book_bottle_add(at->book, "teal", "Teal", DW_ROLE_COLOR, 0.05, &id, err);
}

static dw_status do_bottle_removed(scene *at, dw_error *err) {
  return dw_book_bottle_remove(at->book, "orange", err);
}

static dw_status do_tone(scene *at, dw_error *err) {
  return dw_tone_color_add(at->book, at->tone, (dw_lab){40, 10, 20}, at->photo, NULL, err);
}

static dw_status do_pattern(scene *at, dw_error *err) {
  static const char *const layers[] = {"flank"};
  int64_t id;
  return dw_pattern_add(at->book, "shad", "", layers, 1, &id, err);
}

/* With all that hangs on it, by foreign keys. */
static dw_status do_pattern_removed(scene *at, dw_error *err) {
  return dw_pattern_remove(at->book, at->pattern.id, err);
}

static dw_status do_chips(scene *at, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = dw_shelf_starter(&shelf, err);
  dw_chip chip = {.thickness_mm = 3, .backing = 0.9, .lab = {70, 20, 40}};
  if (status == DW_OK && !dw_recipe_add(&chip.recipe, (size_t)dw_shelf_find(shelf, "orange"), 2))
    status = DW_INTERNAL;
  if (status == DW_OK) status = dw_chips_keep(at->book, shelf, &chip, 1, at->photo, NULL, err);
  dw_shelf_free(shelf);
  return status;
}

static const struct {
  const char *kind, *words;
  dw_status (*run)(scene *at, dw_error *err);
} deeds[] = {
    {"drops", "30 drops of brown into the belly of batch 1 of frog", do_drops},
    {"drops", "0.5 fl oz of clear base into the belly of batch 1 of frog", do_clear},
    {"correction", "orange in the belly of batch 1 of frog: was 12, is 3", do_correction},
    {"drops", "3 fl oz of clear base, 2 drops of black into the back of batch 2 of frog", do_new_cup},
    {"batch", "batch spring of frog begun", do_batch},
    {"reading", "belly read as 61.00,5.00,15.00 in batch 1 of frog", do_reading},
    {"reading", "belly read as 52.00,5.00,15.00 in batch 1 of frog", do_learning},
    {"reading", "belly no longer read as 60.00,5.00,15.00 in batch 1 of frog", do_reading_removed},
    {"target", "target 67.00,7.00,20.10 for the belly of frog", do_target},
    {"good", "batch 1 of frog marked good", do_good},
    {"lot", "lot B of orange opened", do_lot},
    {"bottle", "bottle teal added", do_bottle},
    {"bottle", "bottle orange removed", do_bottle_removed},
    {"tone", "color 40.00,10.00,20.00 to tone claw", do_tone},
    {"pattern", "pattern shad added", do_pattern},
    {"pattern", "pattern frog removed, with its batches", do_pattern_removed},
    {"chip", "1 chip added", do_chips},
};
enum { DEEDS = sizeof deeds / sizeof *deeds };

static void test_each_kind(void **state) {
  shop *s = *state;
  scene at;
  dw_error err;
  set_scene(s->book, &at);
  for (size_t i = 0; i < DEEDS; i++) {
    dw_entry named, taken;
    char *before = exported(s->book);
    in_change(s->book, deeds[i].run(&at, &err));
    char *after = exported(s->book);
    assert_string_not_equal(before, after);
    assert_string_equal(dw_book_kept_words(s->book), deeds[i].words);
    expect(dw_entry_to_undo(s->book, &named, &err), DW_OK, err);
    assert_string_equal(named.words, deeds[i].words);
    assert_string_equal(dw_entry_kind_name(named.kind), deeds[i].kind);
    for (int round = 0; round < 2; round++) {
      expect(dw_book_undo(s->book, named.id, &taken, &err), DW_OK, err);
      assert_int_equal(taken.state, DW_ENTRY_UNDONE);
      char *now = exported(s->book);
      assert_string_equal(now, before);
      free(now);
      expect_whole(s->book);
      expect(dw_book_redo(s->book, named.id, &taken, &err), DW_OK, err);
      now = exported(s->book);
      assert_string_equal(now, after);
      free(now);
      expect_whole(s->book);
    }
    expect(dw_book_undo(s->book, 0, &taken, &err), DW_OK, err); /* the next deed begins at the scene */
    free(before);
    free(after);
  }
}

/* All of them one after the other, and back to the empty book and forth again. */
static void test_all_the_way(void **state) {
  shop *s = *state;
  scene at;
  dw_error err;
  char *stage[DEEDS + 3];
  size_t n = 0;
  stage[n++] = exported(s->book);
  int64_t id = pattern_make(s->book, "bass");
  stage[n++] = exported(s->book);
  in_change(s->book, dw_pattern_set_note(s->book, id, "a note", &err));
  stage[n++] = exported(s->book);
  set_scene(s->book, &at);
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_OK, err);
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_OK, err);
  char *now = exported(s->book);
  assert_string_equal(now, stage[2]);
  free(now);
  for (size_t i = n - 1; i-- > 0;) {
    expect(dw_book_undo(s->book, 0, NULL, &err), DW_OK, err);
    now = exported(s->book);
    assert_string_equal(now, stage[i]);
    free(now);
  }
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_REFUSED, err);
  for (size_t i = 1; i < n; i++) {
    expect(dw_book_redo(s->book, 0, NULL, &err), DW_OK, err);
    now = exported(s->book);
    assert_string_equal(now, stage[i]);
    free(now);
  }
  for (size_t i = 0; i < n; i++) free(stage[i]);
}

static void test_nothing_changed(void **state) {
  shop *s = *state;
  scene at;
  dw_error err;
  dw_entry *list = NULL;
  size_t before, n;
  int64_t tick, later;
  set_scene(s->book, &at);
  in_change(s->book, do_target(&at, &err));
  expect(dw_entry_list(s->book, 0, 0, &list, &before, &err), DW_OK, err);
  free(list);
  expect(dw_book_tick(s->book, &tick, &err), DW_OK, err);
  in_change(s->book, do_target(&at, &err)); /* the same again */
  assert_string_equal(dw_book_kept_words(s->book), "");
  in_change(s->book, dw_batch_set_good(s->book, at.batch, false, &err));
  in_change(s->book, dw_book_bottle_set_title(s->book, "orange", "Orange", &err)); /* as the starter shelf */
  expect(dw_entry_list(s->book, 0, 0, &list, &n, &err), DW_OK, err);
  free(list);
  expect(dw_book_tick(s->book, &later, &err), DW_OK, err);
  assert_int_equal(n, before);
  assert_int_equal(later, tick);
}

/* A new entry behind an undo ends the redo; the history keeps what was dropped. */
static void test_dropped(void **state) {
  shop *s = *state;
  scene at;
  dw_error err;
  dw_entry *list = NULL;
  size_t n;
  set_scene(s->book, &at);
  in_change(s->book, do_drops(&at, &err));
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_OK, err);
  dw_book_set_door(s->book, DW_DOOR_PAGE);
  in_change(s->book, do_good(&at, &err));
  expect(dw_book_redo(s->book, 0, NULL, &err), DW_REFUSED, err);
  expect(dw_entry_list(s->book, at.pattern.id, 2, &list, &n, &err), DW_OK, err);
  assert_int_equal(n, 2);
  assert_string_equal(list[0].words, "batch 1 of frog marked good");
  assert_int_equal(list[0].door, DW_DOOR_PAGE);
  assert_int_equal(list[1].state, DW_ENTRY_DROPPED);
  assert_int_equal(list[1].door, DW_DOOR_COMMAND);
  expect(dw_book_undo(s->book, list[1].id, NULL, &err), DW_REFUSED, err); /* not the last any more */
  free(list);
  expect_whole(s->book);
}

/* Entries are kept packed: whatever words they have come back as they were. */
static void test_words_whole(void **state) {
  shop *s = *state;
  dw_error err;
  dw_entry *list = NULL;
  size_t n;
  static const char *const words[] = {
      "no digit at all",
      "7",
      "#",
      "##1#.,-#",
      "-3.5 and - alone, and .5",
      "1,2,-3.25 12:30 50% n\xc2\xb0 8\xe2\x80\xa6",
      "bottle #12 of 3, (4) \"5\" {6} [7] a1b2c3",
      "0123456789.,-#0123456789.,-#0123456789.,-#0123456789.,-#0123456789.,-#x",
  };
  enum { WORDS = sizeof words / sizeof *words };
  int64_t id = pattern_make(s->book, "frog");
  for (size_t i = 0; i < WORDS; i++) {
    char note[16];
    snprintf(note, sizeof note, "%zu", i);
    expect(dw_book_begin(s->book, &err), DW_OK, err);
    expect(dw_pattern_set_note(s->book, id, note, &err), DW_OK, err);
    dw_book_entry_say(s->book, DW_ENTRY_PATTERN, id, 0, "%s", words[i]);
    expect(dw_book_commit(s->book, &err), DW_OK, err);
  }
  expect(dw_entry_list(s->book, 0, WORDS, &list, &n, &err), DW_OK, err);
  assert_int_equal(n, WORDS);
  for (size_t i = 0; i < WORDS; i++) assert_string_equal(list[i].words, words[WORDS - 1 - i]);
  free(list);
  expect_whole(s->book);
}

/* An id that an entry speaks of is not given to something else. */
static void test_ids_stay(void **state) {
  shop *s = *state;
  dw_error err;
  int64_t first = pattern_make(s->book, "frog");
  in_change(s->book, dw_pattern_remove(s->book, first, &err));
  assert_true(pattern_make(s->book, "shad") > first);
}

/* Written by another program behind the journal's back: refused, and nothing is changed. */
static void test_other_rows(void **state) {
  shop *s = *state;
  scene at;
  dw_error err;
  dw_book *other = NULL;
  set_scene(s->book, &at);
  in_change(s->book, do_tone(&at, &err));
  expect(dw_book_open(s->path, DW_BOOK_WRITE, &other, &err), DW_OK, err);
  expect(dw_book_begin_aside(other, &err), DW_OK, err);
  expect(dw_tone_remove(other, at.tone, &err), DW_OK, err);
  expect(dw_book_commit(other, &err), DW_OK, err);
  dw_book_close(other);
  char *before = exported(s->book);
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_CORRUPT, err);
  char *now = exported(s->book);
  assert_string_equal(now, before);
  free(before);
  free(now);
}

/* The journal goes with its book into an empty one, and works there. */
static void test_round_trip(void **state) {
  shop *s = *state;
  scene at;
  dw_error err;
  dw_book *other = NULL;
  dw_book_imported got;
  char path[120], *text = NULL;
  size_t n;
  set_scene(s->book, &at);
  char *scene_alone = exported(s->book);
  in_change(s->book, do_pattern_removed(&at, &err));
  expect(dw_book_export(s->book, DW_EXPORT_ALL, &text, &n, &err), DW_OK, err);
  snprintf(path, sizeof path, "%s/other", s->folder);
  expect(dw_book_open(path, DW_BOOK_WRITE, &other, &err), DW_OK, err);
  in_change(other, dw_book_import(other, text, n, "all.json", &got, &err));
  expect_whole(other);
  assert_string_equal(dw_book_kept_words(other), "");
  expect(dw_book_undo(other, 0, NULL, &err), DW_OK, err);
  char *now = exported(other);
  assert_string_equal(now, scene_alone);
  free(now);
  assert_true(pattern_make(other, "bass") > at.pattern.id);
  /* into a book that holds something it is one entry, and the other's journal stays away */
  expect(dw_book_redo(s->book, 0, NULL, &err), DW_REFUSED, err);
  char *before = exported(s->book);
  free(text);
  in_change(other, dw_tone_remove(other, at.tone, &err));
  expect(dw_book_export(other, DW_EXPORT_ALL, &text, &n, &err), DW_OK, err);
  in_change(s->book, dw_book_import(s->book, text, n, "all.json", &got, &err));
  assert_non_null(strstr(dw_book_kept_words(s->book), "rows taken in from all.json"));
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_OK, err);
  now = exported(s->book);
  assert_string_equal(now, before);
  free(now);
  free(before);
  free(scene_alone);
  free(text);
  dw_book_close(other);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_each_kind),  book_test(test_all_the_way), book_test(test_nothing_changed),
      book_test(test_dropped),    book_test(test_words_whole), book_test(test_ids_stay),
      book_test(test_other_rows), book_test(test_round_trip),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
