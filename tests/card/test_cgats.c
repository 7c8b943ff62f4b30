/* Cards from CGATS.17 files: good ones, bad ones with their sentence, and thousands of damaged ones. */
#include "dropwise/card.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static char path[64];
static dw_error err;
static dw_card card;

static int setup(void **state) {
  (void)state;
  snprintf(path, sizeof path, "/tmp/dropwise-card-%ld.txt", (long)getpid());
  return 0;
}

static int teardown(void **state) {
  (void)state;
  unlink(path);
  return 0;
}

static dw_status load(const char *text, size_t n) {
  FILE *f = fopen(path, "wb");
  assert_non_null(f);
  assert_int_equal(fwrite(text, 1, n, f), n);
  assert_int_equal(fclose(f), 0);
  return dw_card_load(path, &card, &err);
}

#define HEAD_LAB                                                                                             \
  "CGATS.17\nDESCRIPTOR \"bench card\"\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\n"                             \
  "SAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
#define SETS(n) "NUMBER_OF_SETS " #n "\nBEGIN_DATA\n"
#define GRAYS "B1 95 0 0\nB2 70 0 1\nB3 45 -1 0\nB4 20 0 0\n"
static const char good[] =
    HEAD_LAB SETS(8) "A1 50 40 30\nA2 60 -30 20\nA3 40 10 -40\nA4 80 5 70\n" GRAYS "END_DATA\n";

static void test_good_file(void **state) {
  (void)state;
  if (load(good, sizeof good - 1) != DW_OK) fail_msg("%s", err.text);
  assert_string_equal(card.title, "bench card");
  assert_int_equal(card.rows, 2);
  assert_int_equal(card.cols, 4);
  assert_string_equal(card.id[4], "B1");
  assert_true(card.lab[3].L == 80.0 && card.lab[3].a == 5.0 && card.lab[3].b == 70.0);
}

/* The order of lines, of columns and of further fields does not matter. */
static void test_order_and_further_fields_do_not_matter(void **state) {
  (void)state;
  static const char text[] = "CGATS.17\nORIGINATOR \"test\"\nNUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\n"
                             "LAB_B SAMPLE_NAME LAB_A SAMPLE_ID LAB_L\nEND_DATA_FORMAT\n" SETS(
                                 4) "3 d -2 B2 20\n0 c 0 B1 40\n1 b 0 A2 60\n2 a -1 A1 90\nEND_DATA\n";
  if (load(text, sizeof text - 1) != DW_OK) fail_msg("%s", err.text);
  assert_true(card.lab[0].L == 90.0 && card.lab[0].a == -1.0 && card.lab[0].b == 2.0 &&
              card.lab[3].L == 20.0);
  assert_non_null(strstr(card.title, "dropwise-card"));
}

/* Spreadsheets and some editors begin a text with one. */
static void test_a_byte_order_mark_is_passed(void **state) {
  (void)state;
  char text[3 + sizeof good];
  memcpy(text, "\xEF\xBB\xBF", 3);
  memcpy(text + 3, good, sizeof good);
  assert_int_equal(load(text, 3 + sizeof good - 1), DW_OK);
}

/* ISO 28178 has several tables in a file; a card is the first. */
static void test_a_second_table_is_passed(void **state) {
  (void)state;
  static const char more[] =
      "CGATS.17\nNUMBER_OF_FIELDS 2\nBEGIN_DATA_FORMAT\nSAMPLE_ID D_VIS\nEND_DATA_FORMAT\n" SETS(
          1) "A1 0.2\nEND_DATA\n";
  char text[sizeof good + sizeof more];
  snprintf(text, sizeof text, "%s%s", good, more);
  if (load(text, strlen(text)) != DW_OK) fail_msg("%s", err.text);
  assert_string_equal(card.title, "bench card");
  assert_int_equal(card.cols, 4);
}

/* D50 white and Y = 0.1842 (L* = 50.0), in both scales: ICC.1:2022 and CIE 15. */
static void test_xyz_in_both_scales(void **state) {
  (void)state;
  static const double scale[2] = {1.0, 100.0};
  for (int k = 0; k < 2; k++) {
    char text[600];
    size_t n = (size_t)snprintf(text, sizeof text,
                                "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID XYZ_X XYZ_Y "
                                "XYZ_Z\nEND_DATA_FORMAT\n" SETS(4));
    static const double y[4] = {1.0, 0.184187, 0.05, 0.01};
    for (int i = 0; i < 4; i++)
      n += (size_t)snprintf(text + n, sizeof text - n, "%c%d %.6f %.6f %.6f\n", 'A' + i / 2, 1 + i % 2,
                            scale[k] * y[i] * DW_D50_X, scale[k] * y[i], scale[k] * y[i] * DW_D50_Z);
    n += (size_t)snprintf(text + n, sizeof text - n, "END_DATA\n");
    if (load(text, n) != DW_OK) fail_msg("%s", err.text);
    assert_true(fabs(card.lab[0].L - 100.0) < 1e-3 && fabs(card.lab[1].L - 50.0) < 1e-3);
    assert_true(hypot(card.lab[1].a, card.lab[1].b) < 0.01);
  }
}

static void refuses(const char *text, dw_status status, const char *words) {
  const dw_status got = load(text, strlen(text));
  if (got != status)
    fail_msg("%s instead of %s: %s", dw_status_name(got), dw_status_name(status), got ? err.text : "");
  if (strstr(err.text, words) == NULL) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
  assert_non_null(strstr(err.text, path));
}

static void test_refusals(void **state) {
  (void)state;
  refuses("CGATS.17\nNUMBER_OF_FIELDS 4\n\"\n", DW_BAD_INPUT, "as CGATS: Line ");
  refuses("", DW_BAD_INPUT, "not readable as CGATS");
  refuses("a photo of a card\n", DW_BAD_INPUT, "not readable as CGATS");
  refuses(HEAD_LAB SETS(8) "A1 50 40 30\n", DW_BAD_INPUT, "not readable as CGATS");
  refuses("CGATS.17\nNUMBER_OF_FIELDS 3\nBEGIN_DATA_FORMAT\nLAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n" SETS(
              1) "50 0 0\nEND_DATA\n",
          DW_BAD_INPUT, "no SAMPLE_ID");
  refuses("CGATS.17\nNUMBER_OF_FIELDS 2\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\nEND_DATA_FORMAT\n" SETS(
              1) "A1 50\nEND_DATA\n",
          DW_BAD_INPUT, "neither LAB_L");
  refuses(HEAD_LAB SETS(5) "A1 50 40 30\n" GRAYS "END_DATA\n", DW_BAD_INPUT, "patch A2 is missing");
  refuses(HEAD_LAB SETS(5) "B1 50 40 30\n" GRAYS "END_DATA\n", DW_BAD_INPUT, "patch B1 twice");
  refuses(HEAD_LAB SETS(4) "A1 95 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 30 0\nEND_DATA\n", DW_BAD_INPUT,
          "only 3 grays");
  refuses(HEAD_LAB SETS(4) "A1 195 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n", DW_BAD_INPUT,
          "Patch A1 in the card file");
  refuses(HEAD_LAB SETS(4) "A1 95 0 999\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n", DW_BAD_INPUT,
          "impossible color");
  refuses(HEAD_LAB SETS(4) "A1 95 0 x\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n", DW_BAD_INPUT,
          "data line 1");
  refuses(HEAD_LAB SETS(4) "7 95 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n", DW_BAD_INPUT,
          "SAMPLE_ID \"7\"");
  refuses(HEAD_LAB SETS(4) "A0 95 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n", DW_BAD_INPUT,
          "SAMPLE_ID \"A0\"");
  refuses(HEAD_LAB SETS(4) "A41 95 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n", DW_TOO_LARGE,
          "beyond 40");
  refuses(HEAD_LAB SETS(4) "A1 95 0 0\nA2 70 0 1\nA3 45 -1 0\nA4 20 0 0\nEND_DATA\n", DW_BAD_INPUT,
          "1 x 4 patches");
  /* A number of sets that no int holds, which the parser takes for 6: it was told as -2147483648 patches. */
  refuses(
      HEAD_LAB SETS(
          66666666666666666666) "A1 95 0 0\nA2 70 0 1\nA3 45 -1 0\nB1 9 0 0\nB2 8 0 0\nB3 7 0 0\nEND_DATA\n",
      DW_TOO_LARGE, "6.666666667e+19 patches; 1 to ");
  /* More fields told behind their names: the parser read past the names. */
  refuses(HEAD_LAB "NUMBER_OF_FIELDS 900\n" SETS(4) "A1 95 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n",
          DW_BAD_INPUT, "NUMBER_OF_FIELDS stands once");
  refuses("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_FIELDS "
          "900\n" SETS(4) "A1 95 0 0\nA2 70 0 1\nB1 45 -1 0\nB2 20 0 0\nEND_DATA\n",
          DW_BAD_INPUT, "NUMBER_OF_FIELDS stands once");
  refuses("CGATS.17\n.INCLUDE \"/etc/passwd\"\n", DW_BAD_INPUT, "an include line");
}

static void test_missing_and_huge_files(void **state) {
  (void)state;
  assert_int_equal(dw_card_load("/nonexistent/card.txt", &card, &err), DW_NOT_FOUND);
  const size_t n = (1u << 20) + 2;
  char *big = malloc(n);
  assert_non_null(big);
  memset(big, ' ', n);
  memcpy(big, good, sizeof good - 1);
  assert_int_equal(load(big, n), DW_TOO_LARGE);
  free(big);
}

static void test_failure_leaves_the_card_alone(void **state) {
  (void)state;
  memset(&card, 0x5a, sizeof card);
  const dw_card before = card;
  assert_int_equal(load("CGATS.17\n", 9), DW_BAD_INPUT);
  assert_memory_equal(&card, &before, sizeof card);
}

/* Bytes changed, dropped and doubled at random: an answer, never a crash (run with the sanitizers too); what
 * is accepted holds only possible colors. */
static void test_damaged_files(void **state) {
  (void)state;
  dw_random random = dw_random_seed(2026);
  char text[2 * sizeof good];
  size_t accepted = 0;
  for (int round = 0; round < 3000; round++) {
    size_t n = sizeof good - 1;
    memcpy(text, good, n);
    for (int hits = 1 + (int)(4.0 * dw_random_uniform(&random)); hits > 0; hits--) {
      const size_t at = (size_t)(dw_random_uniform(&random) * (double)n);
      const double kind = dw_random_uniform(&random);
      if (kind < 0.6) {
        const int byte = (int)(256.0 * dw_random_uniform(&random)) - 128, printable = 32 + (byte & 63);
        text[at] = (char)(kind < 0.3 ? byte : printable);
      } else if (kind < 0.8 && n > 40) {
        memmove(text + at, text + at + 1, n - at - 1);
        n--;
      } else if (n + 20 < sizeof text) {
        const size_t run = 1 + (size_t)(19.0 * dw_random_uniform(&random));
        const size_t length = at + run < n ? run : n - at;
        memmove(text + at + length, text + at, n - at);
        n += length;
      }
    }
    if (load(text, n) != DW_OK) {
      assert_true(strlen(err.text) > 20);
      continue;
    }
    accepted++;
    for (size_t i = 0; i < card.rows * card.cols; i++)
      assert_true(card.lab[i].L >= 0.0 && card.lab[i].L <= 105.0 && isfinite(card.lab[i].a + card.lab[i].b));
  }
  printf("damaged files: %zu of 3000 still read\n", accepted);
  assert_true(accepted > 100 && accepted < 2500); /* both ways were walked */
}

int main(void) {
#define T(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
  const struct CMUnitTest tests[] = {
      T(test_good_file),
      T(test_order_and_further_fields_do_not_matter),
      T(test_a_byte_order_mark_is_passed),
      T(test_a_second_table_is_passed),
      T(test_xyz_in_both_scales),
      T(test_refusals),
      T(test_missing_and_huge_files),
      T(test_failure_leaves_the_card_alone),
      T(test_damaged_files),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
