#include "check.h"
#include "dropwise/color.h"

static void check_difference(dw_lab from, dw_lab to, const char *expected) {
  char words[100];
  dw_difference_words(from, to, words, sizeof words);
  assert_string_equal(words, expected);
}

static dw_lab lch(double L, double C, double h) {
  return dw_lab_from_lch((dw_lch){L, C, h});
}

static void test_each_part(void **state) {
  (void)state;
  const dw_lab orange = lch(60, 60, 65);
  check_difference(orange, orange, "the same");
  check_difference(orange, lch(60.2, 60, 65), "the same");
  check_difference(orange, lch(66, 60, 65), "lighter");
  check_difference(orange, lch(54, 60, 65), "darker");
  check_difference(orange, lch(60, 70, 65), "brighter");
  check_difference(orange, lch(60, 45, 65), "duller");
  check_difference(orange, lch(60, 60, 55), "turned toward red");
  check_difference(orange, lch(60, 60, 75), "turned toward yellow");
  check_difference(orange, lch(54, 50, 55), "darker, duller, turned toward red");
}

static bool ends_with(const char *text, const char *end) {
  size_t n = strlen(text), m = strlen(end);
  return n >= m && strcmp(text + n - m, end) == 0;
}

/* Once round: from the middle of each color both ways. */
static void test_turns_around_the_circle(void **state) {
  (void)state;
  static const struct {
    double h;
    const char *up, *down;
  } turns[] = {{35, "orange", "purple"}, {95, "green", "orange"}, {145, "blue", "yellow"},
               {265, "purple", "green"}, {318, "red", "blue"},    {355, "red", "purple"},
               {0, "red", "purple"},     {205, "blue", "green"}};
  for (size_t i = 0; i < sizeof turns / sizeof *turns; i++) {
    for (int way = -1; way <= 1; way += 2) {
      char words[100], expected[100];
      snprintf(expected, sizeof expected, "turned toward %s", way > 0 ? turns[i].up : turns[i].down);
      dw_difference_words(lch(50, 40, turns[i].h), lch(50, 40, turns[i].h + 12 * way), words, sizeof words);
      /* In the blues the formula lets chroma follow hue; the turn must be named all the same, last. */
      if (!ends_with(words, expected)) fail_msg("at %g: \"%s\", not \"%s\"", turns[i].h, words, expected);
    }
  }
}

static void test_grays(void **state) {
  (void)state;
  check_difference((dw_lab){50, 0, 0}, (dw_lab){60, 0, 0}, "lighter");
  check_difference((dw_lab){50, 0, 0}, lch(50, 12, 265), "turned toward blue");
  check_difference(lch(50, 12, 265), (dw_lab){50, 0, 0}, "duller");
}

static void test_the_way_to_a_target(void **state) {
  (void)state;
  char words[160];
  dw_way_words(lch(60, 60, 65), lch(54, 60, 65), words, sizeof words);
  assert_string_equal(words, "it must get darker");
  dw_way_words(lch(60, 60, 65), lch(60.01, 60, 65), words, sizeof words);
  assert_string_equal(words, "as aimed");
}

/* At least one word for every difference of 0.3 or more, whatever room there is; never past the room. */
static void test_always_a_word_and_never_too_many_bytes(void **state) {
  (void)state;
  for (int i = 0; i < 4000; i++) {
    const dw_lab from = lch(50, i % 60, i), to = {from.L + i % 3 * 0.27, from.a + i % 5 * 0.2, from.b + 0.3};
    char words[100], tight[9];
    memset(tight, 'x', sizeof tight);
    dw_difference_words(from, to, words, sizeof words);
    assert_true((dw_de00(from, to) < 0.3) == (strcmp(words, "the same") == 0));
    assert_true(strlen(words) > 4);
    dw_difference_words(from, to, tight, 8);
    assert_true(strlen(tight) < 8 && tight[8] == 'x' && strncmp(tight, words, strlen(tight)) == 0);
  }
  char none = 'x';
  dw_difference_words((dw_lab){0, 0, 0}, (dw_lab){50, 0, 0}, &none, 0);
  assert_true(none == 'x');
}

/* Names people give to these sRGB values (the CSS color keywords of the same or a like name; 200,130,70 has
 * none and is a copper that we call so). */
static void test_color_names(void **state) {
  (void)state;
  static const struct {
    uint8_t rgb[3];
    const char *words;
  } colors[] = {{{0, 0, 0}, "black"},
                {{255, 255, 255}, "white"},
                {{128, 128, 128}, "gray"},
                {{211, 211, 211}, "light gray"},
                {{64, 64, 64}, "dark gray"},
                {{255, 0, 0}, "bright red"},
                {{139, 0, 0}, "dark red"},
                {{101, 67, 33}, "dark brown"},
                {{139, 69, 19}, "brown"},
                {{255, 165, 0}, "orange"},
                {{200, 130, 70}, "dull orange"},
                {{210, 180, 140}, "tan"},
                {{255, 253, 208}, "cream"},
                {{128, 128, 0}, "olive"},
                {{0, 100, 0}, "dark green"},
                {{144, 238, 144}, "light green"},
                {{0, 0, 255}, "bright blue"},
                {{0, 0, 128}, "dark blue"},
                {{173, 216, 230}, "light blue"},
                {{128, 0, 128}, "purple"},
                {{255, 192, 203}, "pink"},
                {{255, 255, 0}, "bright yellow"},
                {{0, 128, 128}, "blue-green"}};
  int wrong = 0;
  for (size_t i = 0; i < sizeof colors / sizeof *colors; i++) {
    char words[40];
    const dw_lab lab = dw_lab_from_srgb8(colors[i].rgb);
    const dw_lch at = dw_lch_from_lab(lab);
    dw_color_words(lab, words, sizeof words);
    if (strcmp(words, colors[i].words) == 0) continue;
    print_error("%d,%d,%d (L %.0f C %.0f h %.0f) is \"%s\", not \"%s\"\n", colors[i].rgb[0], colors[i].rgb[1],
                colors[i].rgb[2], at.L, at.C, at.h, words, colors[i].words);
    wrong++;
  }
  assert_int_equal(wrong, 0);
}

/* Every color has a name. */
static void test_no_gap_between_names(void **state) {
  (void)state;
  for (double L = -5; L <= 105; L += 5)
    for (double C = 0; C < 150; C += 2.5)
      for (double h = 0; h < 360; h += 2.5) {
        char words[40];
        dw_color_words(lch(L, C, h), words, sizeof words);
        assert_true(strcmp(words, "no color") != 0 && strlen(words) > 2);
      }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_each_part),
                                     cmocka_unit_test(test_turns_around_the_circle),
                                     cmocka_unit_test(test_grays),
                                     cmocka_unit_test(test_the_way_to_a_target),
                                     cmocka_unit_test(test_always_a_word_and_never_too_many_bytes),
                                     cmocka_unit_test(test_color_names),
                                     cmocka_unit_test(test_no_gap_between_names)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
