/* Renders a sheet of chips (clear base and orange, brown, white and blue at four loadings, and a row of mixtures) over
 * a black and a white field: render_sheet FILE SEED WIDTH.  Prints the true colors of slabs of 10 mm over gray:
 * "orange=4,brown=2 L,a,b". */
#include "boards.h"

#include <stdio.h>
#include <stdlib.h>

enum { ROWS = 5 };
static const double loading[] = {1, 2, 4, 8};
static const bottle bottles[] = {ORANGE, BROWN, WHITE, BLUE};

static void chip_put(chip_line *line, bottle one, double drops, bottle other, double more) {
  recipe *r = &line->of[line->n++];
  *r = (recipe){{0}};
  r->drops[one] += drops;
  r->drops[other] += more;
}

static void lines_make(chip_line lines[ROWS]) {
  chip_put(&lines[0], ORANGE, 0, BROWN, 0); /* clear base lies in the first row only */
  for (int r = 0; r < 4; r++)
    for (int k = 0; k < 4; k++) chip_put(&lines[r], bottles[r], loading[k], BLACK, 0);
  chip_put(&lines[4], ORANGE, 3, BROWN, 2);
  chip_put(&lines[4], ORANGE, 3, WHITE, 2);
  chip_put(&lines[4], BLUE, 3, WHITE, 2);
}

static void truth_print(double orange, double brown, double white) {
  recipe r = {{0}};
  spectrum gray = spectrum_flat(.2);
  r.drops[ORANGE] = orange, r.drops[BROWN] = brown, r.drops[WHITE] = white;
  plastic p = plastic_mix(&r);
  spectrum seen = plastic_seen(&p, 10, &gray);
  lab_color lab = lab_of(xyz_of(&seen));
  printf("orange=%g,brown=%g,white=%g %.3f,%.3f,%.3f\n", orange, brown, white, lab.L, lab.a, lab.b);
}

int main(int argc, char **argv) {
  if (argc < 4) {
    fprintf(stderr, "Use: render_sheet FILE SEED WIDTH\n");
    return 2;
  }
  static board b;
  static chip_line lines[ROWS];
  lines_make(lines);
  b = sheet_make((uint32_t)atoi(argv[2]), atoi(argv[3]), lines, ROWS);
  int failed = board_save(&b, argv[1]);
  truth_print(4, 2, 0);
  truth_print(6, 0, 2);
  truth_print(2, 4, 1);
  return failed ? 3 : 0;
}
