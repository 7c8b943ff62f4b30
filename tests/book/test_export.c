/* Export and import: a round trip loses nothing, a hostile document changes nothing. */
#include "book/sql.h"
#include "book/tables.h"
#include "book_local.h"
#include "dropwise/book_bench.h"
#include "dropwise/book_heat.h"
#include "dropwise/book_molds.h"
#include "dropwise/book_settings.h"
#include "dropwise/book_travels.h"
#include "dropwise/numeric.h"

#include <jansson.h>
#include <lcms2.h>

static const char HASH[] = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

static void fit_fill(dw_book *book) {
  static const char csv[] = "recipe,thickness_mm,over,L,a,b\n,3,black,19,-0.6,-2.3\n,3,white,88,-0.4,0.5\n"
                            "orange=2,3,black,24,1.3,-0.2\norange=2,3,white,80.6,13.9,19.8\n";
  dw_error err;
  dw_shelf *shelf = NULL, *loaded = NULL;
  dw_chips *chips = NULL;
  dw_chip *chip = NULL;
  dw_fit *fit = NULL;
  size_t n;
  expect(dw_shelf_new(&shelf, &err), DW_OK, err);
  expect(dw_chips_parse(csv, sizeof csv - 1, "chips", shelf, &chips, &err), DW_OK, err);
  in_change(book, dw_chips_keep(book, shelf, chips->chip, chips->n, 0, NULL, &err));
  expect(dw_chips_load(book, &loaded, &chip, &n, &err), DW_OK, err);
  expect(dw_bottles_fit(loaded, chip, n, DW_FIT_FRESH, &fit, &err), DW_OK, err);
  in_change(book, dw_fit_keep(book, fit, "{\"mean_de00\": 0.4}", &err));
  dw_fit_free(fit);
  dw_chips_free(chips);
  dw_shelf_free(shelf);
  dw_shelf_free(loaded);
  free(chip);
}

static void pour_fill(dw_book *book, const dw_pattern *pattern, int64_t look) {
  dw_error err;
  int64_t batch, cup, pour, id;
  dw_shelf *shelf = NULL;
  dw_learned learned;
  in_change(book, dw_batch_begin(book, pattern->id, "b", NULL, &batch, &err));
  in_change(book, dw_batch_set_good(book, batch, true, &err));
  in_change(book, dw_book_cup_begin(book, batch, pattern->layer[0].id, 4, 5, &cup, &err));
  in_change(book, dw_book_cup_add(book, cup, "orange", 12, &err));
  in_change(book, dw_book_cup_add(book, cup, NULL, 0.25, &err));
  in_change(book, dw_book_heat_note(book, cup, 341.5, 3, true, &err));
  dw_pour poured = {.cup = cup, .slab = {10, 0.2}, .has_predicted = true, .predicted = {50.125, 20, 1.0 / 3}};
  in_change(book, dw_pour_log(book, &poured, &pour, &err));
  dw_book_reading reading = {.batch = batch,
                             .layer = pattern->layer[0].id,
                             .pour = pour,
                             .look = look,
                             .shape = "rect:1,2,3x4",
                             .lab = {51, 21, 2.0 / 3},
                             .kept = 0.9,
                             .gloss = NAN,
                             .flake = 0};
  in_change(book, dw_reading_log(book, &reading, &id, &err));
  dw_book_travel travel = {.layer = reading.layer,
                           .batch = batch,
                           .bait = 2,
                           .travels = true,
                           .de00 = 6.0 + 1.0 / 3,
                           .doubt_de00 = 0.7,
                           .hue_deg = -41.5,
                           .hue_doubt_deg = 3,
                           .p = 0.0001};
  in_change(book, dw_travel_log(book, &travel, "{\"photos\": []}", &id, &err));
  travel.batch = 0;
  travel.hue_deg = travel.hue_doubt_deg = NAN;
  in_change(book, dw_travel_log(book, &travel, NULL, &id, &err));
  expect(dw_book_shelf(book, &shelf, NULL, &err), DW_OK, err);
  in_change(book, dw_book_learn(book, shelf, &learned, &err));
  in_change(book, dw_book_lot_add(book, "orange", "second", &err));
  dw_shelf_free(shelf);
}

/* A row at least in every table. */
static void fill(dw_book *book, const char *name) {
  dw_error err;
  dw_pattern pattern;
  int64_t id, photo, look, pattern_id = pattern_make(book, name);
  const dw_mold craw = {.name = "craw",
                        .cavities = 4,
                        .bait_ml = 9,
                        .runner_ml = 6,
                        .sprue = DW_SIDE_AWAY,
                        .back = DW_SIDE_LEFT};
  dw_mold learned;
  dw_book_photo kept = {.path = "a b/\xc3\xa9.jpg",
                        .sha256 = HASH,
                        .width = 40,
                        .height = 30,
                        .taken = "2026-05-01 14:03:22",
                        .preview = (const uint8_t *)"\0\1\2\xff",
                        .preview_bytes = 4};
  expect(dw_pattern_get(book, pattern_id, &pattern, &err), DW_OK, err);
  in_change(book, dw_pattern_set_note(book, pattern_id, "a \"note\"\nof two lines", &err));
  in_change(book, dw_pattern_set_see_through(book, pattern.layer[1].id, 0.1, &err));
  in_change(book, dw_pattern_set_clean_blends(book, pattern_id, true, &err));
  in_change(book, dw_photo_keep(book, &kept, &photo, &err));
  in_change(book, dw_look_keep(book, photo, "{\"card\": {\"corners\": [1, 2.5]}}", NULL, &look, &err));
  dw_target target = {
      .lab = {40, 0.1, -20}, .how = DW_TARGET_PHOTO, .photo = photo, .detail = "{\"x\": 0.1}"};
  in_change(book, dw_target_set(book, pattern.layer[0].id, &target, &err));
  in_change(book, dw_target_set(book, pattern.layer[0].id,
                                &(dw_target){.lab = {41, 0, 0}, .how = DW_TARGET_NUMBERS}, &err));
  char tone[80];
  snprintf(tone, sizeof tone, "%s tone", name);
  in_change(book, dw_tone_add(book, tone, "", true, &id, &err));
  in_change(book, dw_book_setting_set(book, "volume", "3floz", &err));
  in_change(book, dw_book_mold_set(book, &craw, &err));
  in_change(book, dw_book_mold_learn(book, "craw", &(dw_mold_record){250, 82, 4}, &learned, &err));
  in_change(book, dw_book_mold_learn(book, "craw", &(dw_mold_record){250.5, 38, 5}, &learned, &err));
  in_change(book,
            dw__book_run(book, NULL, &err, "UPDATE fill_record SET noted = '2026-05-01T14:03:22Z'", ""));
  in_change(book, dw_tone_color_add(book, id, (dw_lab){60, 10, 20}, photo, NULL, &err));
  fit_fill(book);
  pour_fill(book, &pattern, look);
  in_change(book, dw_book_bench_begin(book, pattern_id, "bench", 4, 5, NULL, &id, &err));
}

static char *exported(dw_book *book, size_t *n) {
  dw_error err;
  char *text = NULL;
  expect(dw_book_export(book, DW_EXPORT_ALL, &text, n, &err), DW_OK, err);
  return text;
}

static dw_status import_into(dw_book *book, const char *text, size_t n, dw_book_imported *got,
                             dw_error *err) {
  dw_status status = dw_book_begin(book, err);
  if (status == DW_OK) status = dw_book_import(book, text, n, "export.json", got, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  return status;
}

static dw_book *fresh_book(const shop *s, const char *name) {
  dw_error err;
  char path[96];
  dw_book *book = NULL;
  snprintf(path, sizeof path, "%s/%s", s->folder, name);
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
  return book;
}

static void test_round_trip(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book_imported got = {0};
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
  dw_book *other = fresh_book(s, "other");
  expect(import_into(other, first, n, &got, &err), DW_OK, err);
  assert_int_equal(got.shared, 0);
  char *second = exported(other, &m);
  assert_int_equal(n, m);
  assert_string_equal(first, second);
  /* and it is the same book to who asks it */
  dw_shelf *shelf = NULL;
  dw_book_shelf_info info;
  uint8_t *preview = NULL;
  expect(dw_book_shelf(other, &shelf, &info, &err), DW_OK, err);
  assert_false(info.invented);
  expect(dw_photo_kept_preview(other, 1, &preview, &m, &err), DW_OK, err);
  assert_memory_equal(preview, "\0\1\2\xff", 4);
  free(preview);
  dw_shelf_free(shelf);
  dw_book_close(other);
  free(first);
  free(second);
}

static json_t *exported_json(dw_book *book) {
  size_t n;
  char *text = exported(book, &n);
  json_t *root = json_loads(text, 0, NULL);
  assert_non_null(root);
  free(text);
  return root;
}

static dw_status import_json(dw_book *book, const json_t *root, dw_error *err) {
  dw_book_imported got = {0};
  char *text = json_dumps(root, 0);
  assert_non_null(text);
  dw_status status = import_into(book, text, strlen(text), &got, err);
  free(text);
  return status;
}

/* What exports before schema 12 have besides. */
static const char *const left_over[] = {"works", "work_pasts", "past_rows"};
enum { LEFT = sizeof left_over / sizeof *left_over };

/* What a schema has brought since is missing in an older export, and only there. */
static void test_older_export(void **state) {
  shop *s = *state;
  dw_error err;
  fill(s->book, "creek crawfish");
  json_t *root = exported_json(s->book);
  dw_book *other = fresh_book(s, "other");
  json_object_del(root, "molds");
  json_object_del(root, "fill_records");
  json_object_del(root, "heats");
  json_object_del(root, "travels");
  expect(import_json(other, root, &err), DW_BAD_INPUT, err);
  json_object_set_new(root, "schema", json_integer(8));
  expect(import_json(other, root, &err), DW_BAD_INPUT, err); /* it had works then */
  assert_non_null(strstr(err.text, "works"));
  for (size_t i = 0; i < LEFT; i++) json_object_set_new(root, left_over[i], json_array());
  expect(import_json(other, root, &err), DW_OK, err);
  json_object_set_new(root, "schema", json_integer(dw_book_schema_version()));
  dw_book_close(other);
  other = fresh_book(s, "third");
  expect(import_json(other, root, &err), DW_BAD_INPUT, err); /* and has no more */
  dw_book_close(other);
  json_decref(root);
}

/* An older export lacks the columns that came later; a newer one may not. */
static void test_older_columns(void **state) {
  static const char *const later[][2] = {
      {"patterns", "unwanted"}, {"patterns", "clean_blends"}, {"patterns", "swirl"},
      {"layers", "share"},      {"readings", "share"},        {"readings", "share_doubt"},
      {"layers", "tone"},       {"bottles", "look"},          {"bottles", "starter"}};
  shop *s = *state;
  dw_error err;
  dw_book_imported got = {0};
  dw_pattern pattern;
  size_t n, k;
  json_t *row;
  fill(s->book, "creek crawfish");
  char *text = exported(s->book, &n);
  json_t *root = json_loads(text, 0, NULL);
  dw_book *other = fresh_book(s, "other");
  free(text);
  for (size_t i = 0; i < sizeof later / sizeof *later; i++)
    json_array_foreach(json_object_get(root, later[i][0]), k, row)
        assert_int_equal(json_object_del(row, later[i][1]), 0);
  for (size_t i = 0; i < LEFT; i++) json_object_set_new(root, left_over[i], json_array());
  for (int schema = 10; schema >= 9; schema--) {
    json_object_set_new(root, "schema", json_integer(schema));
    text = json_dumps(root, 0);
    expect(import_into(other, text, strlen(text), &got, &err), schema == 9 ? DW_OK : DW_BAD_INPUT, err);
    free(text);
  }
  expect(dw_pattern_find(other, "creek crawfish", &pattern, &err), DW_OK, err);
  assert_true(pattern.layer[0].tone == 0 && !*pattern.unwanted && !pattern.clean_blends);
  dw_book_close(other);
  json_decref(root);
}

/* An export of version 5, works and all: as if its book had been brought up to date, rows and benches. */
static json_t *version5_export(const char *cups) {
  char text[4096];
  snprintf(
      text, sizeof text,
      "{\"dropwise_export\": 1, \"schema\": 5, \"photos\": [], \"targets\": [], \"tones\": [],"
      "\"tone_colors\": [], \"chips\": [], \"chip_parts\": [], \"fits\": [], \"fit_bottles\": [],"
      "\"strengths\": [], \"looks\": [], \"pours\": [], \"readings\": [],"
      "\"patterns\": [{\"id\": 3, \"name\": \"shad\", \"note\": \"\", \"created\": "
      "\"2026-01-01T00:00:00Z\"}],"
      "\"layers\": [{\"id\": 2, \"pattern\": 3, \"position\": 0, \"name\": \"back\", \"see_through\": null}],"
      "\"bottles\": [{\"id\": 1, \"slug\": \"brown\", \"title\": \"Brown\", \"role\": \"brown\", "
      "\"drop_ml\": 0.05,"
      " \"removed\": null}],"
      "\"lots\": [{\"id\": 1, \"bottle\": 1, \"name\": \"first\", \"opened\": \"2026-01-01T00:00:00Z\"}],"
      "\"batches\": [{\"id\": 4, \"pattern\": 3, \"name\": \"1\", \"poured\": \"2026-01-02T00:00:00Z\", "
      "\"good\": 0,"
      " \"note\": \"\", \"blend_mm\": null}],"
      "\"cups\": [{\"id\": 5, \"batch\": 4, \"layer\": 2, \"volume_floz\": 4, \"capacity_floz\": 5,"
      " \"temperature_f\": null}],"
      "\"additions\": [{\"id\": 6, \"cup\": 5, \"position\": 0, \"lot\": 1, \"drops\": 7, \"clear_floz\": 0,"
      " \"added\": \"2026-01-02T00:00:00Z\"}],"
      "\"works\": [{\"id\": 2, \"name\": \"on the bench\", \"pattern\": 3, \"batch\": 4, \"photo\": null, "
      "\"marks\": {},"
      " \"cups\": %s, \"slab\": {}, \"revision\": 3, \"updated\": \"2026-01-03T00:00:00Z\"}],"
      "\"work_pasts\": [], \"past_rows\": []}",
      cups);
  json_t *root = json_loads(text, 0, NULL);
  assert_non_null(root);
  return root;
}

static const char cups5[] = "[{\"layer\": \"back\", \"volume_floz\": 4, \"capacity_floz\": 5,"
                            " \"drops\": {\"brown\": 10}, \"log\": []}]";

static void expect_works_in(dw_book *book, size_t benches) {
  dw_error err;
  dw_book_bench *list = NULL;
  dw_book_addition *additions = NULL;
  dw_pattern pattern;
  dw_book_cup cup;
  dw_text found = {0};
  size_t n, m, mine = 0;
  double drops = 0;
  expect(dw_book_bench_list(book, &list, &n, &err), DW_OK, err);
  assert_int_equal(n, benches);
  while (strcmp(list[mine].name, "on the bench") != 0) assert_true(++mine < n);
  expect(dw_pattern_find(book, "shad", &pattern, &err), DW_OK, err);
  expect(dw_book_cup_find(book, list[mine].batch, pattern.layer[0].id, &cup, &err), DW_OK, err);
  expect(dw_book_cup_additions(book, cup.id, &additions, &m, &err), DW_OK, err);
  for (size_t i = 0; i < m; i++) drops += additions[i].drops;
  assert_near(drops, 10, 0);
  expect(dw_book_check(book, &found, &err), DW_OK, err);
  dw_text_free(&found);
  free(additions);
  free(list);
}

static void test_export_with_works(void **state) {
  shop *s = *state;
  dw_error err;
  size_t n;
  json_t *root = version5_export(cups5);
  expect(import_json(s->book, root, &err), DW_OK, err);
  expect_works_in(s->book, 1);
  dw_book *full = fresh_book(s, "full"); /* beside one that has a bench and an id of that number */
  fill(full, "creek crawfish");
  char *before = exported(full, &n);
  expect(import_json(full, root, &err), DW_OK, err);
  expect_works_in(full, 2);
  expect(dw_book_undo(full, 0, NULL, &err), DW_OK, err); /* one entry, benches and all */
  json_t *left = exported_json(full), *was = json_loads(before, 0, NULL);
  json_object_del(left, "entries");
  json_object_del(was, "entries");
  assert_true(json_equal(left, was));
  json_decref(left);
  json_decref(was);
  json_decref(root);
  free(before);
  dw_book_close(full);
}

/* From version 6 on with its journal: words and all stay, but works' cups are no entry's to take back. */
static void test_export_with_works_and_journal(void **state) {
  shop *s = *state;
  dw_error err;
  dw_entry entry;
  json_t *root = version5_export(cups5);
  json_object_set_new(root, "schema", json_integer(6));
  json_object_set_new(
      root, "entries",
      json_loads("[{\"id\": 9, \"made\": \"2026-01-03T00:00:00Z\", \"door\": \"page\", \"kind\": \"drops\", "
                 "\"words\":"
                 " \"3 drops of brown\", \"pattern\": 3, \"batch\": 4, \"state\": 0, \"record\": {\"were\":"
                 " {\"work\": [{\"id\": 2, \"cups\": \"[]\"}]}}}]",
                 0, NULL));
  expect(import_json(s->book, root, &err), DW_OK, err);
  expect_works_in(s->book, 1);
  expect(dw_entry_to_undo(s->book, &entry, &err), DW_OK, err);
  assert_string_equal(entry.words, "3 drops of brown");
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_REFUSED, err);
  assert_non_null(strstr(err.text, "older"));
  expect_works_in(s->book, 1);
  json_decref(root);
}

/* Works that make no sense refuse the whole. */
static void test_wrong_works(void **state) {
  shop *s = *state;
  dw_error err;
  static const struct {
    const char *key, *json;
  } wrong[] = {{"cups", "{}"}, {"revision", "0"}, {"batch", "99"}, {"name", "\"\""}};
  for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
    json_t *root = version5_export(cups5);
    json_object_set_new(json_array_get(json_object_get(root, "works"), 0), wrong[i].key,
                        json_loads(wrong[i].json, JSON_DECODE_ANY, NULL));
    expect(import_json(s->book, root, &err), DW_BAD_INPUT, err);
    assert_non_null(strstr(err.text, "works"));
    json_decref(root);
  }
  json_t *right = version5_export(cups5);
  expect(import_json(s->book, right, &err), DW_OK, err);
  expect_works_in(s->book, 1);
  json_decref(right);
}

/* Into a book that holds something: names are joined or refused as documented. */
static void test_merge(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book_imported got = {0};
  dw_pattern pattern;
  dw_book_bottle bottle;
  size_t n, m;
  fill(s->book, "creek crawfish");
  dw_book *other = fresh_book(s, "other");
  fill(other, "frog");
  in_change(other, dw_book_bottle_set_title(other, "orange", "Their orange", &err));
  char *text = exported(other, &n);
  expect(import_into(s->book, text, n, &got, &err), DW_OK, err);
  assert_int_equal(got.shared,
                   8); /* the photo, orange and its two lots, the setting, the mold and its fills */
  expect(dw_pattern_find(s->book, "frog", &pattern, &err), DW_OK, err);
  assert_int_equal(pattern.batches, 2); /* and the one open on its bench */
  assert_near(pattern.layer[0].target.L, 41, 0);
  expect(dw_book_bottle_find(s->book, "orange", &bottle, &err), DW_OK, err);
  assert_string_equal(bottle.title, "orange");
  assert_int_equal(bottle.chips, 4);
  expect(dw_pattern_find(s->book, "creek crawfish", &pattern, &err), DW_OK, err);
  /* again: the pattern is there now, and nothing changes */
  char *before = exported(s->book, &m);
  expect(import_into(s->book, text, n, &got, &err), DW_BAD_INPUT, err);
  assert_non_null(strstr(err.text, "frog"));
  char *after = exported(s->book, &m);
  assert_string_equal(before, after);
  dw_book_close(other);
  free(text);
  free(before);
  free(after);
}

/* ---- hostile documents ------------------------------------------------------------------------------------
 */

/* Imports the changed document into an empty book: refused, and the book as empty as before. */
static void expect_no(shop *s, const json_t *root, const char *what) {
  dw_error err;
  dw_book_imported got = {0};
  size_t n;
  char *text = json_dumps(root, JSON_ENCODE_ANY);
  assert_non_null(text);
  dw_status status = import_into(s->book, text, strlen(text), &got, &err);
  if (status != DW_BAD_INPUT && status != DW_UNSUPPORTED && status != DW_TOO_LARGE)
    fail_msg("%s gave %s", what, dw_status_name(status));
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
  dw_book *full = fresh_book(s, "full");
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
  dw_book_close(full);
}

/* Numbers beyond what a command would take, on either side: no import brings them in. */
static void test_numbers_out_of_range(void **state) {
  shop *s = *state;
  size_t n, tried = 0;
  dw_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n);
  for (size_t t = 0; t < dw__table_count; t++)
    for (size_t c = 0; c < dw__tables[t].n; c++) {
      const dw__column *column = &dw__tables[t].column[c];
      if (dw__tables[t].until || (column->kind != DW__WHOLE && column->kind != DW__REAL)) continue;
      for (int side = -1; side <= 1; side += 2, tried++) {
        char what[128];
        json_t *root = json_loads(text, 0, NULL);
        snprintf(what, sizeof what, "%s.%s", dw__tables[t].name, column->name);
        json_object_set_new(entry_of(root, dw__tables[t].title), column->name,
                            column->kind == DW__WHOLE ? json_integer(side * 10000000000000000)
                                                      : json_real(side * 1e300));
        expect_no(s, root, what);
        json_decref(root);
      }
    }
  assert_true(tried > 80);
  free(text);
  dw_book_close(full);
}

/* The same, put in by other hands: the book's check finds it. */
static void test_check_finds_numbers_out_of_range(void **state) {
  shop *s = *state;
  dw_error err;
  fill(s->book, "creek crawfish");
  for (size_t t = 0; t < dw__table_count; t++)
    for (size_t c = 0; c < dw__tables[t].n; c++) {
      const dw__column *column = &dw__tables[t].column[c];
      char sql[200];
      dw_text found = {0};
      if (dw__tables[t].until || (column->kind != DW__WHOLE && column->kind != DW__REAL)) continue;
      snprintf(sql, sizeof sql, "UPDATE %s SET %s = %s WHERE id = (SELECT max(id) FROM %s)",
               dw__tables[t].name, column->name, column->kind == DW__WHOLE ? "10000000000000000" : "1e300",
               dw__tables[t].name);
      expect(dw__book_run(s->book, NULL, &err, "PRAGMA ignore_check_constraints = ON", ""), DW_OK, err);
      expect(dw_book_begin(s->book, &err), DW_OK, err);
      expect(dw__book_run(s->book, NULL, &err, sql, ""), DW_OK, err);
      expect(dw__book_run(s->book, NULL, &err, "PRAGMA ignore_check_constraints = OFF", ""), DW_OK, err);
      expect(dw_book_check(s->book, &found, &err), DW_CORRUPT, err);
      snprintf(sql, sizeof sql, "has an impossible %s, ", column->name);
      if (!strstr(found.data, sql)) fail_msg("%s.%s: %s", dw__tables[t].name, column->name, found.data);
      dw_book_rollback(s->book);
      dw_text_free(&found);
    }
}

/* More bottles than a shelf holds would never let one be fitted again. */
static void test_too_many_bottles(void **state) {
  shop *s = *state;
  size_t n;
  dw_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n);
  json_t *root = json_loads(text, 0, NULL), *bottle = entry_of(root, "bottles"),
         *lot = entry_of(root, "lots");
  for (int i = 0; i < DW_SHELF_MAX; i++) {
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
  dw_book_close(full);
}

static void test_wrong_documents(void **state) {
  shop *s = *state;
  size_t n;
  dw_book *full = fresh_book(s, "full");
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
  json_object_set_new(root, "schema", json_integer(dw_book_schema_version() + 1));
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
  dw_book_close(full);
}

/* Bytes changed and tails cut off at random: refused, or a book that passes its check. */
static void test_broken_bytes(void **state) {
  enum { TRIALS = 400 };
  shop *s = *state;
  dw_error err;
  dw_random random = dw_random_seed(17);
  size_t n, taken = 0;
  dw_book *full = fresh_book(s, "full");
  fill(full, "creek crawfish");
  char *text = exported(full, &n), *copy = malloc(n + 1);
  for (int i = 0; i < TRIALS; i++) {
    dw_book_imported got = {0};
    size_t length = i % 4 ? n : (size_t)(dw_random_uniform(&random) * (double)n);
    memcpy(copy, text, n + 1);
    for (int k = 0; k < i % 4; k++)
      copy[(size_t)(dw_random_uniform(&random) * (double)n)] =
          (char)(unsigned char)(256 * dw_random_uniform(&random));
    expect(dw_book_begin(s->book, &err), DW_OK, err);
    if (dw_book_import(s->book, copy, length, "export.json", &got, &err) == DW_OK) {
      dw_text found = {0};
      taken++;
      expect(dw_book_check(s->book, &found, &err), DW_OK, err);
      dw_text_free(&found);
    }
    dw_book_rollback(s->book);
  }
  print_message("%zu of %d broken documents were still whole enough to be taken\n", taken, TRIALS);
  free(copy);
  free(text);
  dw_book_close(full);
}

/* ---- CGATS ------------------------------------------------------------------------------------------------
 */

static void test_cgats(void **state) {
  shop *s = *state;
  dw_error err;
  char *text = NULL;
  size_t n;
  expect(dw_book_export_cgats(s->book, &text, &n, &err), DW_TOO_FEW, err);
  fill(s->book, "creek \"crawfish\"");
  dw_pattern pattern;
  expect(dw_pattern_get(s->book, 1, &pattern, &err), DW_OK, err);
  const dw_book_reading taken_over = {.batch = 1,
                                      .layer = pattern.layer[0].id,
                                      .bait = DW_BAIT_ELSEWHERE,
                                      .lab = {50, 20, 1},
                                      .kept = NAN,
                                      .gloss = NAN,
                                      .flake = NAN};
  int64_t second;
  in_change(s->book, dw_reading_log(s->book, &taken_over, &second, &err));
  expect(dw_book_export_cgats(s->book, &text, &n, &err), DW_OK, err);
  assert_int_equal(strlen(text), n);
  cmsHANDLE it8 = cmsIT8LoadFromMem(NULL, text, (cmsUInt32Number)n);
  assert_non_null(it8);
  assert_int_equal(cmsIT8TableCount(it8), 3);
  assert_near(cmsIT8GetDataDbl(it8, "T1", "LAB_B"), -20, 1e-9);
  assert_near(cmsIT8GetDataDbl(it8, "T2", "LAB_L"), 41, 1e-9);
  assert_string_equal(cmsIT8GetData(it8, "T1", "SAMPLE_NAME"), "creek 'crawfish'/back");
  cmsIT8SetTable(it8, 2);
  assert_near(cmsIT8GetDataDbl(it8, "R1", "LAB_B"), 2.0 / 3, 1e-6);
  const char *whose = cmsIT8GetData(it8, "R1", "SAMPLE_NAME"),
             *elsewhere = cmsIT8GetData(it8, "R2", "SAMPLE_NAME");
  assert_string_equal(strrchr(whose, '/'), "/1");
  assert_string_equal(strrchr(elsewhere, '/'), "/taken over");
  cmsIT8Free(it8);
  free(text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_round_trip),
      book_test(test_older_export),
      book_test(test_older_columns),
      book_test(test_export_with_works),
      book_test(test_export_with_works_and_journal),
      book_test(test_wrong_works),
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
