/* Renders drops of cups on a white table: render_drizzle FILE SEED WIDTH THICKNESS RECIPE...  A recipe is drops per fl oz
 * of the renderer's bottles, as in orange=6;brown=2.  Prints each cup's true color as a bait, 10 mm over gray. */
#include "boards.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static recipe recipe_of(const char *text) {
  recipe r = {{0}};
  char name[32];
  double amount;
  for (const char *at = text; at && sscanf(at, " %31[a-z]=%lf", name, &amount) == 2;) {
    for (int i = 0; i < BOTTLES; i++)
      if (strcmp(bottle_name[i], name) == 0) r.drops[i] += amount;
    at = strchr(at, ';');
    if (at) at++;
  }
  return r;
}

int main(int argc, char **argv) {
  if (argc < 6) {
    fprintf(stderr, "Use: render_drizzle FILE SEED WIDTH THICKNESS RECIPE...\n");
    return 2;
  }
  static board b;
  drizzle_cup cup[DROPS_MAX];
  int n = 0;
  for (int i = 5; i < argc && n < DROPS_MAX; i++, n++)
    cup[n] = (drizzle_cup){recipe_of(argv[i]), recipe_of(argv[i]), atof(argv[4])};
  b = drizzle_make((uint32_t)atoi(argv[2]), atoi(argv[3]), cup, n);
  int failed = board_save(&b, argv[1]);
  const spectrum gray = spectrum_flat(.20);
  for (int i = 0; i < n && !failed; i++) {
    plastic p = plastic_mix(&cup[i].put);
    spectrum seen = plastic_seen(&p, 10, &gray);
    lab_color lab = lab_of(xyz_of(&seen));
    printf("%.2f,%.2f,%.2f\n", lab.L, lab.a, lab.b);
  }
  return failed ? 3 : 0;
}
