/* Export and import: a round trip loses nothing, a hostile document changes nothing. */
#include "book/sql.h"
#include "book/tables.h"
#include "book_local.h"
#include "pourtone/numeric.h"

#include <jansson.h>
#include <lcms2.h>

static const char HASH[] = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

static void fit_fill(pt_book *book) {
  static const char csv[] = "recipe,thickness_mm,over,L,a,b\n,3,black,19,-0.6,-2.3\n,3,white,88,-0.4,0.5\n"
                            "orange=2,3,black,24,1.3,-0.2\norange=2,3,white,80.6,13.9,19.8\n";
  pt_error err;
  pt_shelf *shelf = NULL, *loaded = NULL;
  pt_chips *chips = NULL;
  pt_chip *chip = NULL;
  pt_fit *fit = NULL;
  size_t n;
  expect(pt_shelf_new(&shelf, &err), PT_OK, err);
  expect(pt_chips_parse(csv, sizeof csv - 1, "chips", shelf, &chips, &err), PT_OK, err);
  in_change(book, pt_chips_keep(book, shelf, chips->chip, chips->n, 0, &err));
  expect(pt_chips_load(book, &loaded, &chip, &n, &err), PT_OK, err);
  expect(pt_bottles_fit(loaded, chip, n, PT_FIT_FRESH, &fit, &err), PT_OK, err);
  in_change(book, pt_fit_keep(book, fit, "{\"mean_de00\": 0.4}", &err));
  pt_fit_free(fit);
  pt_chips_free(chips);
  pt_shelf_free(shelf);
  pt_shelf_free(loaded);
  free(chip);
}

static void pour_fill(pt_book *book, const pt_pattern *pattern, int64_t look) {
  pt_error err;
  int64_t batch, cup, pour, id;
  pt_shelf *shelf = NULL;
  pt_learned learned;
  in_change(book, pt_batch_begin(book, pattern->id, "b", NULL, &batch, &err));
  in_change(book, pt_batch_set_good(book, batch, true, &err));
  in_change(book, pt_book_cup_begin(book, batch, pattern->layer[0].id, 4, 5, &cup, &err));
  in_change(book, pt_book_cup_add(book, cup, "orange", 12, &err));
  in_change(book, pt_book_cup_add(book, cup, NULL, 0.25, &err));
  in_change(book, pt_book_cup_set_temperature(book, cup, 341.5, &err));
  pt_pour poured = {.cup = cup, .slab = {10, 0.2}, .has_predicted = true, .predicted = {50.125, 20, 1.0 / 3}};
  in_change(book, pt_pour_log(book, &poured, &pour, &err));
  pt_book_reading reading = {.batch = batch,
                             .layer = pattern->layer[0].id,
                             .pour = pour,
                             .look = look,
                             .shape = "rect:1,2,3x4",
                             .lab = {51, 21, 2.0 / 3},
                             .kept = 0.9,
                             .gloss = NAN,
                             .flake = 0};
  in_change(book, pt_reading_log(book, &reading, &id, &err));
  expect(pt_book_shelf(book, &shelf, NULL, &err), PT_OK, err);
  in_change(book, pt_book_learn(book, shelf, &learned, &err));
  in_change(book, pt_book_lot_add(book, "orange", "second", &err));
  pt_shelf_free(shelf);
}

/* A row at least in every table. */
static void fill(pt_book *book, const char *name) {
  pt_error err;
  pt_pattern pattern;
  int64_t id, photo, look, pattern_id = pattern_make(book, name);
  pt_book_photo kept = {.path = "a b/\xc3\xa9.jpg",
                        .sha256 = HASH,
                        .width = 40,
                        .height = 30,
                        .taken = "2026-05-01 14:03:22",
                        .preview = (const uint8_t *)"\0\1\2\xff",
                        .preview_bytes = 4};
  expect(pt_pattern_get(book, pattern_id, &pattern, &err), PT_OK, err);
  in_change(book, pt_pattern_set_note(book, pattern_id, "a \"note\"\nof two lines", &err));
  in_change(book, pt_pattern_set_see_through(book, pattern.layer[1].id, 0.1, &err));
  in_change(book, pt_photo_keep(book, &kept, &photo, &err));
  in_change(book, pt_look_keep(book, photo, "{\"card\": {\"corners\": [1, 2.5]}}", NULL, &look, &err));
  pt_target target = {
      .lab = {40, 0.1, -20}, .how = PT_TARGET_PHOTO, .photo = photo, .detail = "{\"x\": 0.1}"};
  in_change(book, pt_target_set(book, pattern.layer[0].id, &target, &err));
  in_change(book, pt_target_set(book, pattern.layer[0].id,
                                &(pt_target){.lab = {41, 0, 0}, .how = PT_TARGET_NUMBERS}, &err));
  char tone[80];
  snprintf(tone, sizeof tone, "%s tone", name);
  in_change(book, pt_tone_add(book, tone, "", true, &id, &err));
  in_change(book, pt_tone_color_add(book, id, (pt_lab){60, 10, 20}, photo, NULL, &err));
  fit_fill(book);
  pour_fill(book, &pattern, look);
  in_change(book, pt_work_add(book, pattern_id, "work", "[{\"layer\": \"back\"}]", NULL, &id, &err));
  pt_book_mark begin = {{0}};
  pt_work_change change = {.cups = "[]", .photo = HASH, .made = &begin}; /* as if all were of this step */
  in_change(book, pt_work_save(book, id, 1, &change, &err));
}

static char *exported(pt_book *book, size_t *n) {
  pt_error err;
  char *text = NULL;
  expect(pt_book_export(book, &text, n, &err), PT_OK, err);
  return text;
}

static pt_status import_into(pt_book *book, const char *text, size_t n, pt_book_imported *got,
                             pt_error *err) {
  pt_status status = pt_book_begin(book, err);
  if (status == PT_OK) status = pt_book_import(book, text, n, "export.json", got, err);
  if (status == PT_OK) status = pt_book_commit(book, err);
  pt_book_rollback(book);
  return status;
}

static pt_book *fresh_book(const shop *s, const char *name) {
  pt_error err;
  char path[96];
  pt_book *book = NULL;
  snprintf(path, sizeof path, "%s/%s", s->folder, name);
  expect(pt_book_open(path, PT_BOOK_WRITE, &book, &err), PT_OK, err);
  return book;
}

static void test_round_trip(void **state) {
  shop *s = *state;
  pt_error err;
  pt_book_imported got = {0};
  size_t n, m;
  fill(s->book, "creek crawfish");
  char *first = exported(s->book, &n);
  json_t *root = json_loads(first, 0, NULL);
  const char *key;
  json_t *value;
  json_object_foreach(root, key, value) {
    if (json_is_array(value) && json_array_size(value) == 0)
      fail_msg("%s is empty: the test says nothing of it", key);
  }
  json_decref(root);
  pt_book *other = fresh_book(s, "other");
  expect(import_into(other, first, n, &got, &err), PT_OK, err);
  assert_int_equal(got.shared, 0);
  char *second = exported(other, &m);
  assert_int_equal(n, m);
  assert_string_equal(first, second);
  /* and it is the same book to who asks it */
  pt_shelf *shelf = NULL;
  pt_book_shelf_info info;
  uint8_t *preview = NULL;
  expect(pt_book_shelf(other, &shelf, &info, &err), PT_OK, err);
  assert_false(info.invented);
  expect(pt_photo_kept_preview(other, 1, &preview, &m, &err), PT_OK, err);
  assert_memory_equal(preview, "\0\1\2\xff", 4);
  free(preview);
  pt_shelf_free(shelf);
  pt_book_close(other);
  free(first);
  free(second);
}

/* What a schema has brought since is missing in an older export, and only there. */
static void test_older_export(void **state) {
  shop *s = *state;
  pt_error err;
  pt_book_imported got = {0};
  size_t n;
  fill(s->book, "creek crawfish");
  char *text = exported(s->book, &n);
  json_t *root = json_loads(text, 0, NULL);
  pt_book *other = fresh_book(s, "other");
  free(text);
  json_object_del(root, "past_rows");
  for (int schema = 5; schema >= 4; schema--) {
    json_object_set_new(root, "schema", json_integer(schema));
    text = json_dumps(root, 0);
    expect(import_into(other, text, strlen(text), &got, &err), schema == 4 ? PT_OK : PT_BAD_INPUT, err);
    free(text);
  }
  pt_book_close(other);
  json_decref(root);
}

/* Into a book that holds something: names are joined or refused as documented. */
static void test_merge(void **state) {
  shop *s = *state;
  pt_error err;
  pt_book_imported got = {0};
  pt_pattern pattern;
  pt_book_bottle bottle;
  size_t n, m;
  fill(s->book, "creek crawfish");
  pt_book *other = fresh_book(s, "other");
  fill(other, "frog");
  in_change(other, pt_book_bottle_set_title(other, "orange", "Their orange", &err));
  char *text = exported(other, &n);
  expect(import_into(s->book, text, n, &got, &err), PT_OK, err);
  assert_int_equal(got.shared, 4); /* the photo, orange and its two lots */
  expect(pt_pattern_find(s->book, "frog", &pattern, &err), PT_OK, err);
  assert_int_equal(pattern.batches, 1);
  assert_near(pattern.layer[0].target.L, 41, 0);
  expect(pt_book_bottle_find(s->book, "orange", &bottle, &err), PT_OK, err);
  assert_string_equal(bottle.title, "orange");
  assert_int_equal(bottle.chips, 4);
  expect(pt_pattern_find(s->book, "creek crawfish", &pattern, &err), PT_OK, err);
  /* again: the pattern is there now, and nothing changes */
  char *before = exported(s->book, &m);
  expect(import_into(s->book, text, n, &got, &err), PT_BAD_INPUT, err);
  assert_non_null(strstr(err.text, "frog"));
  char *after = exported(s->book, &m);
  assert_string_equal(before, after);
  pt_book_close(other);
  free(text);
  free(before);
  free(after);
}

/* ---- hostile documents ------------------------------------------------------------------------------------
 */

/* Imports the changed document into an empty book: refused, and the book as empty as before. */
static void expect_no(shop *s, const json_t *root, const char *what) {
  pt_error err;
  pt_book_imported got = {0};
  size_t n;
  char *text = json_dumps(root, JSON_ENCODE_ANY);
  assert_non_null(text);
  pt_status status = import_into(s->book, text, strlen(text), &got, &err);
  if (status != PT_BAD_INPUT && status != PT_UNSUPPORTED && status != PT_TOO_LARGE)
    fail_msg("%s gave %s", what, pt_status_name(status));
  assert_non_null(strstr(err.text, "export.json"));
  char *left = exported(s->book, &n);
  json_t *empty = json_loads(left, 0, NULL);
  assert_int_equal(json_array_size(json_object_get(empty, "patterns")), 0);
  assert_int_equal(json_array_size(json_object_get(empty, "photos")), 0);
  json_decref(empty);
  free(left);
  free(text);
}

static json_t *entry_of(json_t *root, const char *title) {
  return json_array_get(json_object_get(root, title), 0);
}

/* Every value of the first entry of every table replaced by one of another kind, and every key taken away. */
static void test_wrong_values(void **state) {
  shop *s = *state;
  size_t n, changes = 0;
  pt_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n);
  json_t *good = json_loads(text, 0, NULL);
  const char *title, *key;
  json_t *table, *value;
  void *next;
  json_object_foreach_safe(good, next, title, table) {
    if (!json_is_array(table)) continue;
    json_object_foreach(entry_of(good, title), key, value) {
      char what[128];
      snprintf(what, sizeof what, "%s.%s", title, key);
      json_t *lacking = json_deep_copy(good), *other = json_deep_copy(good);
      json_object_del(entry_of(lacking, title), key);
      expect_no(s, lacking, what);
      json_object_set_new(entry_of(other, title), key,
                          json_is_string(value) ? json_integer(7) : json_string("\033x"));
      expect_no(s, other, what);
      json_decref(lacking);
      json_decref(other);
      changes += 2;
    }
  }
  assert_true(changes > 200);
  json_decref(good);
  free(text);
  pt_book_close(full);
}

/* Numbers beyond what a command would take, on either side: no import brings them in. */
static void test_numbers_out_of_range(void **state) {
  shop *s = *state;
  size_t n, tried = 0;
  pt_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n);
  for (size_t t = 0; t < pt__table_count; t++)
    for (size_t c = 0; c < pt__tables[t].n; c++) {
      const pt__column *column = &pt__tables[t].column[c];
      if (column->kind != PT__WHOLE && column->kind != PT__REAL) continue;
      for (int side = -1; side <= 1; side += 2, tried++) {
        char what[128];
        json_t *root = json_loads(text, 0, NULL);
        snprintf(what, sizeof what, "%s.%s", pt__tables[t].name, column->name);
        json_object_set_new(entry_of(root, pt__tables[t].title), column->name,
                            column->kind == PT__WHOLE ? json_integer(side * 10000000000000000)
                                                      : json_real(side * 1e300));
        expect_no(s, root, what);
        json_decref(root);
      }
    }
  assert_true(tried > 80);
  free(text);
  pt_book_close(full);
}

/* The same, put in by other hands: the book's check finds it. */
static void test_check_finds_numbers_out_of_range(void **state) {
  shop *s = *state;
  pt_error err;
  fill(s->book, "creek crawfish");
  for (size_t t = 0; t < pt__table_count; t++)
    for (size_t c = 0; c < pt__tables[t].n; c++) {
      const pt__column *column = &pt__tables[t].column[c];
      char sql[200];
      pt_text found = {0};
      if (column->kind != PT__WHOLE && column->kind != PT__REAL) continue;
      snprintf(sql, sizeof sql, "UPDATE %s SET %s = %s WHERE id = (SELECT max(id) FROM %s)",
               pt__tables[t].name, column->name, column->kind == PT__WHOLE ? "10000000000000000" : "1e300",
               pt__tables[t].name);
      expect(pt__book_run(s->book, NULL, &err, "PRAGMA ignore_check_constraints = ON", ""), PT_OK, err);
      expect(pt_book_begin(s->book, &err), PT_OK, err);
      expect(pt__book_run(s->book, NULL, &err, sql, ""), PT_OK, err);
      expect(pt__book_run(s->book, NULL, &err, "PRAGMA ignore_check_constraints = OFF", ""), PT_OK, err);
      expect(pt_book_check(s->book, &found, &err), PT_CORRUPT, err);
      snprintf(sql, sizeof sql, "has an impossible %s, ", column->name);
      if (!strstr(found.data, sql)) fail_msg("%s.%s: %s", pt__tables[t].name, column->name, found.data);
      pt_book_rollback(s->book);
      pt_text_free(&found);
    }
}

/* More bottles than a shelf holds would never let one be fitted again. */
static void test_too_many_bottles(void **state) {
  shop *s = *state;
  size_t n;
  pt_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n);
  json_t *root = json_loads(text, 0, NULL), *bottle = entry_of(root, "bottles"),
         *lot = entry_of(root, "lots");
  for (int i = 0; i < PT_SHELF_MAX; i++) {
    char slug[16];
    snprintf(slug, sizeof slug, "more-%d", i);
    json_t *another = json_copy(bottle), *its = json_copy(lot);
    json_object_set_new(another, "id", json_integer(100 + i));
    json_object_set_new(another, "slug", json_string(slug));
    json_object_set_new(its, "id", json_integer(100 + i));
    json_object_set_new(its, "bottle", json_integer(100 + i));
    json_array_append_new(json_object_get(root, "bottles"), another);
    json_array_append_new(json_object_get(root, "lots"), its);
  }
  expect_no(s, root, "65 bottles");
  json_decref(root);
  free(text);
  pt_book_close(full);
}

static void test_wrong_documents(void **state) {
  shop *s = *state;
  size_t n;
  pt_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n);
  static const struct {
    const char *title, *key, *json;
  } changes[] = {
      {"layers", "pattern", "99"},
      {"layers", "position", "7"},
      {"layers", "name", "\"\""},
      {"targets", "l", "1e300"},
      {"targets", "how", "\"magic\""},
      {"targets", "detail", "[]"},
      {"targets", "created", "\"today\""},
      {"photos", "sha256", "\"00\""},
      {"photos", "preview", "\"%%%\""},
      {"photos", "width", "-1"},
      {"bottles", "slug", "\"../x\""},
      {"bottles", "drop_ml", "0"},
      {"bottles", "role", "\"king\""},
      {"fits", "shelf", "{}"},
      {"cups", "volume_floz", "-4"},
      {"additions", "position", "5"},
      {"additions", "drops", "-1"},
      {"pours", "additions", "99"},
      {"readings", "layer", "2"},
      {"readings", "l", "-1"},
      {"readings", "bait", "-1"},
      {"works", "cups", "{}"},
      {"works", "revision", "0"},
      {"past_rows", "past", "99"},
      {"past_rows", "good", "1"},
      {"patterns", "extra", "1"},
      {"patterns", "id", "0"},
      {"patterns", "id", "-5"},
      {"patterns", "id", "1.5"},
      {"chips", "backing", "2"},
      {"strengths", "strength", "0"},
      {"patterns", "name", "\"a\\u0000b\""},
  };
  for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
    char what[128];
    json_t *root = json_loads(text, 0, NULL),
           *value = json_loads(changes[i].json, JSON_DECODE_ANY | JSON_ALLOW_NUL, NULL);
    snprintf(what, sizeof what, "%s.%s = %s", changes[i].title, changes[i].key, changes[i].json);
    assert_non_null(value);
    json_object_set_new(entry_of(root, changes[i].title), changes[i].key, value);
    expect_no(s, root, what);
    json_decref(root);
  }
  json_t *root = json_loads(text, 0, NULL);
  json_object_set_new(root, "schema", json_integer(pt_book_schema_version() + 1));
  expect_no(s, root, "a newer schema");
  json_object_set_new(root, "schema", json_integer(4));
  json_object_set_new(root, "songs", json_array());
  expect_no(s, root, "an unknown table");
  json_object_del(root, "songs");
  json_array_append(json_object_get(root, "patterns"), entry_of(root, "patterns"));
  expect_no(s, root, "an id twice");
  json_decref(root);
  root = json_array();
  expect_no(s, root, "an array");
  json_decref(root);
  free(text);
  pt_book_close(full);
}

/* Bytes changed and tails cut off at random: refused, or a book that passes its check. */
static void test_broken_bytes(void **state) {
  enum { TRIALS = 400 };
  shop *s = *state;
  pt_error err;
  pt_random random = pt_random_seed(17);
  size_t n, taken = 0;
  pt_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n), *copy = malloc(n + 1);
  for (int i = 0; i < TRIALS; i++) {
    pt_book_imported got = {0};
    size_t length = i % 4 ? n : (size_t)(pt_random_uniform(&random) * (double)n);
    memcpy(copy, text, n + 1);
    for (int k = 0; k < i % 4; k++)
      copy[(size_t)(pt_random_uniform(&random) * (double)n)] =
          (char)(unsigned char)(256 * pt_random_uniform(&random));
    expect(pt_book_begin(s->book, &err), PT_OK, err);
    if (pt_book_import(s->book, copy, length, "export.json", &got, &err) == PT_OK) {
      pt_text found = {0};
      taken++;
      expect(pt_book_check(s->book, &found, &err), PT_OK, err);
      pt_text_free(&found);
    }
    pt_book_rollback(s->book);
  }
  print_message("%zu of %d broken documents were still whole enough to be taken\n", taken, TRIALS);
  free(copy);
  free(text);
  pt_book_close(full);
}

/* ---- CGATS ------------------------------------------------------------------------------------------------
 */

static void test_cgats(void **state) {
  shop *s = *state;
  pt_error err;
  char *text = NULL;
  size_t n;
  expect(pt_book_export_cgats(s->book, &text, &n, &err), PT_TOO_FEW, err);
  fill(s->book, "creek \"crawfish\"");
  expect(pt_book_export_cgats(s->book, &text, &n, &err), PT_OK, err);
  assert_int_equal(strlen(text), n);
  cmsHANDLE it8 = cmsIT8LoadFromMem(NULL, text, (cmsUInt32Number)n);
  assert_non_null(it8);
  assert_int_equal(cmsIT8TableCount(it8), 3);
  assert_near(cmsIT8GetDataDbl(it8, "T1", "LAB_B"), -20, 1e-9);
  assert_near(cmsIT8GetDataDbl(it8, "T2", "LAB_L"), 41, 1e-9);
  assert_string_equal(cmsIT8GetData(it8, "T1", "SAMPLE_NAME"), "creek 'crawfish'/back");
  cmsIT8SetTable(it8, 2);
  assert_near(cmsIT8GetDataDbl(it8, "R1", "LAB_B"), 2.0 / 3, 1e-6);
  cmsIT8Free(it8);
  free(text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_round_trip),
      book_test(test_older_export),
      book_test(test_merge),
      book_test(test_wrong_values),
      book_test(test_wrong_documents),
      book_test(test_broken_bytes),
      book_test(test_cgats),
      book_test(test_numbers_out_of_range),
      book_test(test_check_finds_numbers_out_of_range),
      book_test(test_too_many_bottles),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
