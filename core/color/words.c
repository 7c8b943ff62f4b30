/* Plain words for colors and for the way from one to another.
 *
 * Where one color name ends and the next begins is a convention of everyday speech; the limits here are our
 * own reading of CIELAB and nothing is computed from them. */
#include "dropwise/color.h"

#include <math.h>
#include <string.h>

static const double WORTH_NAMING = 0.3; /* CIEDE2000: below it two colors are called the same */
static const double GRAY_CHROMA = 4.0;  /* C* up to which a person says gray */

/* Hues one turns toward, by CIELAB hue angle, ascending. */
static const struct {
  double h;
  const char *name;
} way_marks[] = {{35, "red"}, {65, "orange"}, {97, "yellow"}, {145, "green"}, {265, "blue"}, {318, "purple"}};
enum { WAY_MARKS = sizeof way_marks / sizeof *way_marks };

/* The next mark on the way round, passing one that is as good as reached. */
static const char *mark_ahead(double h, bool counter_clockwise) {
  const double reached = 10.0;
  const char *name = way_marks[0].name;
  double least = 720.0;
  for (int i = 0; i < WAY_MARKS; i++) {
    double way = counter_clockwise ? way_marks[i].h - h : h - way_marks[i].h;
    way = fmod(way + 720.0, 360.0);
    if (way < reached || way >= least) continue;
    least = way;
    name = way_marks[i].name;
  }
  return name;
}

static const char *mark_nearest(double h) {
  const char *name = way_marks[0].name;
  double least = 720.0;
  for (int i = 0; i < WAY_MARKS; i++) {
    double way = fabs(remainder(way_marks[i].h - h, 360.0));
    if (way >= least) continue;
    least = way;
    name = way_marks[i].name;
  }
  return name;
}

/* How the parts of a difference are said: of a way to go, or of what is too much. */
typedef struct wording {
  const char *lighter, *darker, *brighter, *duller, *toward;
} wording;
static const wording ways = {"lighter", "darker", "brighter", "duller", "turned toward "};
static const wording excesses = {"too light", "too dark", "too bright", "too dull", "too "};

static void words_append(char *out, size_t room, const char *word, const char *more) {
  size_t used = strlen(out);
  snprintf(out + used, room - used, "%s%s%s", used ? ", " : "", word, more);
}

static void word_difference(dw_lab from, dw_lab to, const wording *as, char *out, size_t room) {
  if (room == 0) return;
  const dw_difference d = dw_difference_between(from, to);
  const dw_lch start = dw_lch_from_lab(from), end = dw_lch_from_lab(to);
  const double largest = fmax(fmax(fabs(d.dl), fabs(d.dc)), fabs(d.dh));
  /* Where no part is over the limit alone, the largest still gets its word. */
  const double limit = fmin(fmax(WORTH_NAMING, d.de00 / 5.0), largest);
  out[0] = '\0';
  if (!(d.de00 >= WORTH_NAMING)) {
    words_append(out, room, isnan(d.de00) ? "not comparable" : "the same", "");
    return;
  }
  if (fabs(d.dl) >= limit) words_append(out, room, d.dl > 0.0 ? as->lighter : as->darker, "");
  /* A gray that takes on color has no hue to turn from: it is tinted, not brightened. */
  const bool tinted = start.C < GRAY_CHROMA && d.dc > 0.0;
  if (fabs(d.dc) >= limit && !tinted) words_append(out, room, d.dc > 0.0 ? as->brighter : as->duller, "");
  if (tinted && fmax(fabs(d.dc), fabs(d.dh)) >= limit)
    words_append(out, room, as->toward, mark_nearest(end.h));
  else if (fabs(d.dh) >= limit)
    words_append(out, room, as->toward, mark_ahead(start.h, d.dh > 0.0));
}

void dw_difference_words(dw_lab from, dw_lab to, char *out, size_t room) {
  word_difference(from, to, &ways, out, room);
}

void dw_excess_words(dw_lab color, dw_lab right, char *out, size_t room) {
  word_difference(right, color, &excesses, out, room);
}

void dw_way_words(dw_lab now, dw_lab target, char *out, size_t room) {
  char words[160];
  dw_difference_words(now, target, words, sizeof words);
  if (dw_de00(now, target) < WORTH_NAMING)
    dw_copy_text(out, room, "as aimed");
  else
    snprintf(out, room, "it must get %s", words);
}

/* Names by hue, lightness and chroma: the first row that holds the color gives its name. dark/light and
 * dull/bright are the limits of L* and C* beyond which the adjective is said. */
typedef struct name_row {
  double h_min, h_max, l_min, l_max, c_min, c_max;
  const char *name;
  double dark, light, dull, bright;
} name_row;

#define ANY 1000.0
#define ALL_HUES 0, 360
static const name_row names[] = {
    {ALL_HUES, -ANY, 8, 0, 10, "black", -ANY, ANY, -ANY, ANY},
    {ALL_HUES, 95, ANY, 0, 4, "white", -ANY, ANY, -ANY, ANY},
    {ALL_HUES, -ANY, ANY, 0, 4, "gray", 40, 70, -ANY, ANY},
    {60, 115, 85, ANY, 4, 25, "cream", -ANY, ANY, -ANY, ANY},
    {40, 95, 55, 85, 4, 35, "tan", 60, 80, 12, ANY},
    {28, 85, -ANY, 55, 4, 52, "brown", 32, 48, 14, ANY},
    {85, 125, -ANY, 60, 4, 60, "olive", 32, 55, 14, ANY},
    {0, 18, 55, ANY, 4, ANY, "pink", 60, 85, 15, 55},
    {330, 360, 55, ANY, 4, ANY, "pink", 60, 85, 15, 55},
    {18, 45, 70, ANY, 4, 45, "pink", 60, 85, 15, ANY},
    {0, 48, -ANY, ANY, 4, ANY, "red", 35, 65, 35, 75},
    {48, 80, -ANY, ANY, 4, ANY, "orange", 50, 80, 50, 85},
    {80, 110, -ANY, ANY, 4, ANY, "yellow", 65, 92, 45, 85},
    {110, 175, -ANY, ANY, 4, ANY, "green", 40, 75, 25, 70},
    {175, 222, -ANY, ANY, 4, ANY, "blue-green", 35, 75, 15, 45},
    {222, 303, -ANY, ANY, 4, ANY, "blue", 28, 70, 20, 60},
    {303, 345, -ANY, ANY, 4, ANY, "purple", 28, 70, 20, 70},
    {345, 360, -ANY, ANY, 4, ANY, "red", 35, 65, 35, 75},
};

static bool row_holds(const name_row *row, dw_lch color) {
  return color.h >= row->h_min && color.h < row->h_max && color.L >= row->l_min && color.L < row->l_max &&
         color.C >= row->c_min && color.C < row->c_max;
}

static const char *row_adjective(const name_row *row, dw_lch color) {
  if (color.L < row->dark) return "dark ";
  if (color.C > row->bright) return "bright ";
  if (color.L > row->light) return "light ";
  return color.C < row->dull ? "dull " : "";
}

void dw_color_words(dw_lab color, char *out, size_t room) {
  const dw_lch lch = dw_lch_from_lab(color);
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    if (!row_holds(&names[i], lch)) continue;
    snprintf(out, room, "%s%s", row_adjective(&names[i], lch), names[i].name);
    return;
  }
  dw_copy_text(out, room, "no color"); /* not a number, or thousands of units away */
}
