/* Settings kept in the book. */
#include "check.h"
#include "dropwise/book_journal.h"
#include "dropwise/book_settings.h"

#include <stdio.h>
#include <unistd.h>

typedef struct shop {
  char folder[32], path[64];
  dw_book *book;
} shop;

static int setup(void **state) {
  static shop s;
  dw_error err;
  snprintf(s.folder, sizeof s.folder, "/tmp/settings-XXXXXX");
  if (!mkdtemp(s.folder)) return -1;
  snprintf(s.path, sizeof s.path, "%s/book.db", s.folder);
  *state = &s;
  return dw_book_open(s.path, DW_BOOK_WRITE, &s.book, &err) == DW_OK ? 0 : -1;
}

static int teardown(void **state) {
  shop *s = *state;
  dw_book_close(s->book);
  unlink(s->path);
  return rmdir(s->folder);
}

static dw_status set(dw_book *book, const char *name, const char *value, dw_error *err) {
  dw_status status = dw_book_begin(book, err);
  if (status == DW_OK) status = dw_book_setting_set(book, name, value, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  return status;
}

static void set_well(dw_book *book, const char *name, const char *value) {
  dw_error err = {0};
  if (set(book, name, value, &err) != DW_OK) fail_msg("%s %s: %s", name, value, err.text);
}

static dw_settings get(dw_book *book, bool *is_set) {
  dw_settings out;
  dw_error err = {0};
  if (dw_book_settings_get(book, &out, is_set, &err) != DW_OK) fail_msg("%s", err.text);
  return out;
}

/* A difference: 3 C are 5.4 F (NIST SP 811, appendix B.8). It is kept with its unit and shown in those in force. */
static void test_heat_limit(void **state) {
  shop *s = *state;
  char shown[DW_SETTING_ROOM];
  size_t i = 0;
  set_well(s->book, "units", "us");
  set_well(s->book, "heat-limit", "3C");
  dw_settings own = get(s->book, NULL);
  assert_near(own.heat_limit_f, 5.4, 1e-12);
  while (strcmp(dw_setting_name(i), "heat-limit") != 0) i++;
  dw_setting_format(&own, i, shown, sizeof shown);
  assert_string_equal(shown, "5.4F");
  set_well(s->book, "units", "metric");
  own = get(s->book, NULL);
  dw_setting_format(&own, i, shown, sizeof shown);
  assert_string_equal(shown, "3C");
  set_well(s->book, "heat-limit", "5"); /* by the units in force */
  assert_near(get(s->book, NULL).heat_limit_f, 9, 1e-12);
  set_well(s->book, "units", "us");
  set_well(s->book, "heat-limit", "none");
  assert_near(get(s->book, NULL).heat_limit_f, 0, 0);
}

static void test_defaults_are_those_of_the_rules(void **state) {
  shop *s = *state;
  bool is_set[DW_SETTINGS_COUNT];
  dw_settings own = get(s->book, is_set);
  dw_rules rules = dw_rules_default(), by_settings = rules;
  dw_shelf *shelf = NULL;
  dw_error err;
  assert_int_equal(dw_shelf_starter(&shelf, &err), DW_OK);
  dw_settings_rules(&own, shelf, &by_settings);
  dw_shelf_free(shelf);
  assert_memory_equal(&rules, &by_settings, sizeof rules);
  assert_near(own.volume_floz, 4, 0);
  assert_int_equal(own.units, DW_UNITS_US);
  for (size_t i = 0; i < DW_SETTINGS_COUNT; i++) assert_false(is_set[i]);
}

static void test_set_and_unset(void **state) {
  shop *s = *state;
  bool is_set[DW_SETTINGS_COUNT];
  set_well(s->book, "volume", "88.7205886875ml"); /* 3 US fl oz: NIST Handbook 44, appendix C */
  set_well(s->book, "units", "metric");
  set_well(s->book, "max-drops", "40");
  set_well(s->book, "max-bottles", "3");
  set_well(s->book, "step", "half");
  set_well(s->book, "unwanted", "purple, blue purple");
  set_well(s->book, "heat-limit", "5F");
  set_well(s->book, "card-width", "52.4");
  dw_settings own = get(s->book, is_set);
  assert_near(own.card_mm, 52.4, 1e-12);
  assert_near(own.volume_floz, 3, 1e-12); /* kept with its unit, whatever the units are now */
  assert_int_equal(own.units, DW_UNITS_METRIC);
  assert_near(own.max_drops, 40, 0);
  assert_int_equal(own.max_bottles, 3);
  assert_near(own.step_drops, 0.5, 0);
  assert_string_equal(own.unwanted, "purple,blue");
  for (size_t i = 0; i < DW_SETTINGS_COUNT; i++) assert_true(is_set[i]);
  set_well(s->book, "max-drops", NULL);
  assert_near(get(s->book, NULL).max_drops, DW_DROPS_BY_VOLUME, 0);
  set_well(s->book, "volume", "100"); /* in the units in force */
  assert_near(get(s->book, NULL).volume_floz, 100 / DW_ML_PER_FLOZ, 1e-12);
}

/* What is shown of a value can be typed again. */
static void test_shown_values_are_values(void **state) {
  (void)state;
  static const char *const values[DW_SETTINGS_COUNT][3] = {
      {"us", "metric", "us"}, {"4floz", "120ml", "0.5floz"}, {"by-volume", "60", "1"},
      {"4", "12", "1"},       {"drops", "half", "syringe"},  {"none", "blue", "blue,melon-green"},
      {"none", "5F", "3C"},   {"none", "52.4", "80"}};
  dw_settings own = dw_settings_default();
  dw_error err;
  char text[DW_SETTING_ROOM];
  for (size_t i = 0; i < DW_SETTINGS_COUNT; i++)
    for (size_t k = 0; k < 3; k++) {
      dw_settings again;
      assert_int_equal(dw_setting_parse(dw_setting_name(i), values[i][k], &own, &err), DW_OK);
      dw_setting_format(&own, i, text, sizeof text);
      again = own;
      assert_int_equal(dw_setting_parse(dw_setting_name(i), text, &again, &err), DW_OK);
      assert_near(again.volume_floz, own.volume_floz, 1e-5 * own.volume_floz);
      again.volume_floz = own.volume_floz;
      assert_memory_equal(&again, &own, sizeof own);
    }
}

static void test_refusals(void **state) {
  shop *s = *state;
  dw_error err;
  static const char *const wrong[][2] = {
      {"units", "imperial"},  {"volume", "0"},       {"volume", "4kg"},      {"max-drops", "0"},
      {"max-drops", "many"},  {"max-bottles", "13"}, {"max-bottles", "2.5"}, {"step", "third"},
      {"units", ""},          {"heat-limit", "0F"},  {"heat-limit", "warm"}, {"card-width", "0"},
      {"card-width", "wide"}, {"heat-limit", "-3C"}, {"unwanted", "Blue"},   {"unwanted", "blue=3"}};
  int64_t before, after;
  assert_int_equal(dw_book_tick(s->book, &before, &err), DW_OK);
  for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
    assert_int_equal(set(s->book, wrong[i][0], wrong[i][1], &err), DW_USAGE);
    if (!strstr(err.text, "which takes")) fail_msg("%s", err.text);
  }
  assert_int_equal(set(s->book, "color", "red", &err), DW_NOT_FOUND);
  assert_non_null(strstr(err.text, "max-bottles"));
  assert_int_equal(set(s->book, "unwanted", "blau", &err), DW_NOT_FOUND); /* nobody knows such a bottle */
  assert_int_equal(dw_book_tick(s->book, &after, &err), DW_OK);
  assert_int_equal(before, after);
}

static void test_each_is_an_entry(void **state) {
  shop *s = *state;
  dw_error err;
  dw_entry entry;
  int64_t before, after;
  set_well(s->book, "step", "syringe");
  assert_int_equal(dw_book_tick(s->book, &before, &err), DW_OK);
  set_well(s->book, "step", "syringe"); /* changes nothing: no entry */
  assert_int_equal(dw_book_tick(s->book, &after, &err), DW_OK);
  assert_int_equal(before, after);
  set_well(s->book, "step", "half");
  assert_int_equal(dw_entry_to_undo(s->book, &entry, &err), DW_OK);
  assert_int_equal(entry.kind, DW_ENTRY_SETTING);
  assert_string_equal(entry.words, "setting step half");
  assert_int_equal(dw_book_undo(s->book, entry.id, NULL, &err), DW_OK);
  assert_near(get(s->book, NULL).step_drops, 0, 0);
  assert_int_equal(dw_book_redo(s->book, entry.id, NULL, &err), DW_OK);
  assert_near(get(s->book, NULL).step_drops, 0.5, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_defaults_are_those_of_the_rules),
                                     cmocka_unit_test(test_set_and_unset),
                                     cmocka_unit_test(test_shown_values_are_values),
                                     cmocka_unit_test(test_refusals),
                                     cmocka_unit_test(test_each_is_an_entry),
                                     cmocka_unit_test(test_heat_limit)};
  return cmocka_run_group_tests(tests, setup, teardown);
}
