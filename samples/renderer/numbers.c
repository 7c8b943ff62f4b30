/* The scenario's numbers: chips.csv and patterns.json. */
#include <math.h>
#include <stdio.h>

#include "scenario.h"

static FILE *open_in(const char *folder, const char *name) {
  char path[1024];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *file = fopen(path, "w");
  if (!file) fprintf(stderr, "%s could not be written.\n", path);
  return file;
}

/* One chip as a careful person measures it: drops off by 3%, thickness by 2%, each reading by 0.3 in Lab. */
static void chip_rows(FILE *file, const recipe *meant, chance *dice) {
  recipe poured = *meant;
  char text[64];
  for (int b = 0; b < BOTTLES; b++) poured.drops[b] *= 1 + 0.03 * chance_normal(dice);
  double thickness_mm = 3 * (1 + 0.02 * chance_normal(dice));
  plastic p = plastic_mix(&poured);
  recipe_text(meant, text, sizeof text);
  for (int white = 0; white < 2; white++) {
    spectrum backing = spectrum_flat(white ? 0.886 : 0.04);
    spectrum s = plastic_seen(&p, thickness_mm, &backing);
    lab_color lab = lab_of(xyz_of(&s));
    lab.L += 0.3 * chance_normal(dice); /* one after the other: arguments of a call have no order */
    lab.a += 0.3 * chance_normal(dice);
    lab.b += 0.3 * chance_normal(dice);
    fprintf(file, "%s,3,%s,%.2f,%.2f,%.2f\n", text, white ? "white" : "black", lab.L, lab.a, lab.b);
  }
}

int chips_save(const char *folder) {
  static const recipe mixed[] = {{{[ORANGE] = 4, [BROWN] = 2}}, {{[YELLOW] = 3, [BROWN] = 1}},
                                 {{[RED] = 3, [BROWN] = 2}},    {{[BLUE] = 1, [WHITE] = 2}},
                                 {{[ORANGE] = 2, [WHITE] = 2}}, {{[GREEN] = 2, [BLACK] = 0.5}}};
  FILE *file = open_in(folder, "chips.csv");
  if (!file) return 1;
  chance dice = {4242};
  fprintf(file, "recipe,thickness_mm,over,L,a,b\n");
  chip_rows(file, &(recipe){{0}}, &dice);
  for (int b = 0; b < BOTTLES; b++)
    for (int i = 0; i < 3; i++) {
      recipe r = {{0}};
      r.drops[b] = chip_loading[i] * (b == BLACK ? 0.5 : 1);
      chip_rows(file, &r, &dice);
    }
  for (size_t i = 0; i < sizeof mixed / sizeof *mixed; i++) chip_rows(file, &mixed[i], &dice);
  return fclose(file) != 0;
}

static void print_layers(FILE *file, const lab_color lab[3]) {
  static const char *const name[3] = {"back", "middle", "belly"};
  for (int i = 0; i < 3; i++)
    fprintf(file, "%s\n      {\"name\": \"%s\", \"lab\": [%.1f, %.1f, %.1f]}", i ? "," : "", name[i],
            lab[i].L, lab[i].a, lab[i].b);
}

/* The crawfish is aimed at the bait that worked; the minnow at its recipe, 12 mm thick over gray. */
int patterns_save(const char *folder, const shot *crawfish) {
  FILE *file = open_in(folder, "patterns.json");
  if (!file) return 1;
  lab_color lab[3];
  for (int i = 0; i < 3; i++) lab[i] = mark_lab(&crawfish->marks.mark[i]);
  fprintf(file, "{\n  \"patterns\": [\n    {\"name\": \"creek crawfish\", \"layers\": [");
  print_layers(file, lab);
  fprintf(file, "\n    ]},\n    {\"name\": \"river minnow\", \"layers\": [");
  for (int i = 0; i < 3; i++) {
    plastic p = plastic_mix(&river_minnow[i]);
    spectrum backing = spectrum_flat(0.20), s = plastic_seen(&p, 12, &backing);
    lab[i] = lab_of(xyz_of(&s));
  }
  print_layers(file, lab);
  fprintf(file, "\n    ]}\n  ]\n}\n");
  return fclose(file) != 0;
}
