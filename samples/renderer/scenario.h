/* The scenario: what the shop poured and how it was photographed. */
#ifndef RENDERER_SCENARIO_H
#define RENDERER_SCENARIO_H

#include "marks.h"

typedef struct shot {
  const char *name;
  scene scene;
  marks marks;
  double balance_share, exposure, electrons;
  int quality, orientation;
} shot;

enum { SHOTS = 6 };
shot scenario_shot(int index);

/* numbers.c: chips.csv and patterns.json; nonzero on failure. */
int chips_save(const char *folder);
int patterns_save(const char *folder, const shot *crawfish);
extern const recipe river_minnow[3];
extern const double chip_loading[3];

#endif
