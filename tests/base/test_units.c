/* Volumes and temperatures with their units.
 * NIST Handbook 44, appendix C: 1 US fl oz = 29.573 529 562 5 ml, 1 gallon = 128 fl oz (3.785 411 784 l).
 * NIST SP 811, B.8: t/F = 1.8 t/C + 32. */
#include "check.h"
#include "dropwise/base.h"

static double floz(const char *text, dw_units units) {
  double value = -1;
  return dw_parse_volume(text, &units, &value) ? value : -1;
}

static double fahrenheit(const char *text, dw_units units) {
  double value = -1;
  return dw_parse_temperature(text, &units, &value) ? value : -1;
}

static void test_volumes(void **state) {
  (void)state;
  static const char *const four[] = {"4floz", "4 fl oz", "4 FL. OZ.", " 4fl oz ", "4.0floz"};
  for (size_t i = 0; i < sizeof four / sizeof *four; i++)
    for (dw_units units = DW_UNITS_US; units <= DW_UNITS_METRIC; units++)
      assert_near(floz(four[i], units), 4, 1e-12);
  assert_near(floz("29.5735295625ml", DW_UNITS_US), 1, 1e-12);
  assert_near(floz("29.5735295625 mL", DW_UNITS_METRIC), 1, 1e-12);
  assert_near(floz("3.785411784 l", DW_UNITS_US), 128, 1e-9);
  assert_near(floz("1gal", DW_UNITS_METRIC), 128, 1e-12);
  assert_near(floz("1 qt", DW_UNITS_US), 32, 1e-12);
  assert_near(floz("1pt", DW_UNITS_US), 16, 1e-12);
  assert_near(floz("2 cups", DW_UNITS_US), 16, 1e-12);
}

static void test_plain_numbers_go_by_the_units_in_force(void **state) {
  (void)state;
  assert_near(floz("4", DW_UNITS_US), 4, 0);
  assert_near(floz("29.5735295625", DW_UNITS_METRIC), 1, 1e-12);
  assert_near(fahrenheit("350", DW_UNITS_US), 350, 0);
  assert_near(fahrenheit("100", DW_UNITS_METRIC), 212, 1e-12); /* water boils */
  assert_near(fahrenheit("-5", DW_UNITS_US), -5, 0);
}

static void test_the_units_of_the_text_are_told(void **state) {
  (void)state;
  dw_units units = DW_UNITS_US;
  double value;
  assert_true(dw_parse_volume("120ml", &units, &value));
  assert_int_equal(units, DW_UNITS_METRIC);
  assert_true(dw_parse_temperature("350F", &units, &value));
  assert_int_equal(units, DW_UNITS_US);
}

/* What no double holds in the units kept is no amount: an infinite one came out. */
static void test_too_large_to_be_told(void **state) {
  (void)state;
  dw_units units = DW_UNITS_US;
  double value = 7;
  assert_false(dw_parse_volume("1e308gal", &units, &value));
  assert_false(dw_parse_temperature("1e308C", &units, &value));
  assert_false(dw_parse_temperature_step("-1e308C", &units, &value));
  assert_true(value == 7 && units == DW_UNITS_US);
}

static void test_temperatures(void **state) {
  (void)state;
  static const char *const forms[] = {"177C", "177 C", "177c",
                                      ("177\xC2\xB0"
                                       "C"),
                                      "177 \xC2\xB0 C"};
  for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
    for (dw_units units = DW_UNITS_US; units <= DW_UNITS_METRIC; units++)
      assert_near(fahrenheit(forms[i], units), 350.6, 1e-9);
  assert_near(fahrenheit("350F", DW_UNITS_METRIC), 350, 0);
  assert_near(fahrenheit("-40C", DW_UNITS_US), -40, 1e-12);
  assert_near(dw_celsius_from_fahrenheit(dw_fahrenheit_from_celsius(163)), 163, 1e-12);
}

/* NIST SP 811 (2008), appendix B.8: a difference of 1 C is one of 1.8 F; the zero points play no part. */
static void test_differences_of_temperature(void **state) {
  (void)state;
  dw_units units = DW_UNITS_US;
  double step;
  char words[24];
  assert_true(dw_parse_temperature_step("5C", &units, &step));
  assert_near(step, 9, 1e-12);
  assert_int_equal(units, DW_UNITS_METRIC);
  assert_true(dw_parse_temperature_step("5 F", &units, &step));
  assert_near(step, 5, 0);
  assert_string_equal(dw_temperature_step_text(9, DW_UNITS_METRIC, words, sizeof words), "5 C");
  assert_string_equal(dw_temperature_text(212, DW_UNITS_METRIC, words, sizeof words), "100 C");
  assert_string_equal(dw_temperature_text(339.7, DW_UNITS_US, words, sizeof words), "340 F");
}

static void test_what_is_none(void **state) {
  (void)state;
  static const char *const none[] = {
      "", "ml", "four", "4 oz", "4mll", "4 ml 3", "nan", "inf ml", "4F", "4;floz", "4flozflozflozflozfloz"};
  double value = 7;
  dw_units units = DW_UNITS_METRIC;
  for (size_t i = 0; i < sizeof none / sizeof *none; i++)
    if (dw_parse_volume(none[i], &units, &value)) fail_msg("\"%s\" is a volume", none[i]);
  static const char *const cold[] = {"", "C", "350K", "350FC", "35ml", "1e400F"};
  for (size_t i = 0; i < sizeof cold / sizeof *cold; i++)
    if (dw_parse_temperature(cold[i], &units, &value)) fail_msg("\"%s\" is a temperature", cold[i]);
  assert_near(value, 7, 0);
  assert_int_equal(units, DW_UNITS_METRIC);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_volumes),
                                     cmocka_unit_test(test_plain_numbers_go_by_the_units_in_force),
                                     cmocka_unit_test(test_the_units_of_the_text_are_told),
                                     cmocka_unit_test(test_too_large_to_be_told),
                                     cmocka_unit_test(test_temperatures),
                                     cmocka_unit_test(test_differences_of_temperature),
                                     cmocka_unit_test(test_what_is_none)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
