/* Guesses at the pairing code, on a clock of the test's own: how fast they may come, and that pairing never
 * closes. The waits are those of docs/bench-api.md. */
#include "app/bench/guard.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <string.h>

static dw__guard guard;
static double now = 1000;

static int start(void **state) {
  (void)state;
  memset(&guard, 0, sizeof guard);
  return dw__guard_start(&guard, true, 80, NULL) != DW_OK;
}

static int stop(void **state) {
  (void)state;
  dw__guard_stop(&guard);
  return 0;
}

/* What came of it: 'w' had to wait, 'n' not the code, 'p' paired. */
static char guess(uint32_t address, const char *code) {
  char token[DW__TOKEN_DIGITS + 1];
  dw_error err = {0};
  dw__guess one = {.code = code, .address = address, .now_s = now};
  if (dw__guard_pair(&guard, &one, token, &err) == DW_OK) return 'p';
  if (strstr(err.text, "wait")) return 'w';
  assert_non_null(strstr(err.text, "not the code"));
  return 'n';
}

static char guess_right(uint32_t address) {
  char code[DW__CODE_DIGITS + 1];
  dw__guard_code(&guard, code);
  return guess(address, code);
}

static void test_one_address_waits_ever_longer(void **state) {
  (void)state;
  for (int i = 0; i < 5; i++) assert_int_equal(guess(1, "------"), 'n');
  double wait = 1;
  for (int i = 0; i < 14; i++) {
    now += wait - 0.1;
    assert_int_equal(guess(1, "------"), 'w');
    assert_int_equal(guess_right(1), 'w'); /* what comes too early is not looked at */
    now += 0.2;
    assert_int_equal(guess(1, "------"), 'n');
    wait = wait * 2 < 600 ? wait * 2 : 600;
  }
  assert_int_equal(guess_right(2), 'p'); /* another person need not wait */
  now += 600.1;
  assert_int_equal(guess_right(1), 'p'); /* and pairing is never closed */
}

static void test_many_addresses_wait_for_each_other(void **state) {
  (void)state;
  unsigned looked_at = 0;
  const int day = 24 * 60 * 60;
  for (int s = 0; s < day; s++, now++)
    for (int k = 0; k < 4; k++) looked_at += guess((uint32_t)(4 * s + k), "------") == 'n';
  /* 64 places an hour, and one a minute beside: no more than 1 of 300 to be right in a day */
  assert_in_range(looked_at, 1000, 1000000 / 300);
  now += 61;
  assert_int_equal(guess_right(7), 'p');
}

static void test_a_code_serves_five_tries(void **state) {
  (void)state;
  char before[DW__CODE_DIGITS + 1];
  dw__guard_code(&guard, before);
  for (int i = 0; i < 5; i++) assert_int_equal(guess(1, "12345"), 'n');
  now += 2;
  assert_string_not_equal(guard.code, before); /* the same again in one of a million runs */
  assert_int_equal(guess(1, before), 'n');
  now += 3;
  assert_int_equal(guess_right(1), 'p');
  assert_int_equal(guess(1, "------"), 'n'); /* and who was right begins anew */
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_one_address_waits_ever_longer, start, stop),
      cmocka_unit_test_setup_teardown(test_many_addresses_wait_for_each_other, start, stop),
      cmocka_unit_test_setup_teardown(test_a_code_serves_five_tries, start, stop),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
