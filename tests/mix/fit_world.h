/* Chips, shelves and scores for the tests of fit and learning, from the simulator's world. */
#ifndef TESTS_MIX_FIT_WORLD_H
#define TESTS_MIX_FIT_WORLD_H

#include "dropwise/fit.h"
#include "simulator/simulator.h"

enum { WORLD_CHIPS_MAX = 128 };

/* How the chips are made and read. */
typedef struct world_bench {
  int shots;          /* photos averaged a reading; 0 reads the truth */
  double drop_share;  /* deviation of what is dropped */
  double thick_share; /* of the thickness against what is written */
  int mixtures;       /* 0, or 9: each color with brown or white */
} world_bench;

dw_lab world_lab(sim_lab lab);
dw_shelf *world_shelf(void); /* nine bottles by the simulator's names, nothing known of them */
dw_recipe world_recipe(const double loading[SIM_BOTTLES]);
/* Clear base and each bottle at 0.5, 2, 8 drops per fl oz (black at half), 3 mm over white and black: the
 * same let-down on both. Returns their number. */
size_t world_chips(sim_world *world, const world_bench *bench, dw_chip chips[WORLD_CHIPS_MAX]);
/* Fits or fails the test. */
dw_fit *world_fit(const dw_shelf *shelf, const dw_chip *chips, size_t n, dw_fit_start start);

typedef struct world_score {
  double mean, p95;              /* CIEDE2000 of prediction to truth */
  double within_1sd, within_2sd; /* share of errors within the prediction's own uncertainty */
} world_score;
/* Random recipes at 10 mm over gray. The world is left as it was. */
world_score world_predict(const sim_world *world, const dw_shelf *shelf, int recipes);

#endif
