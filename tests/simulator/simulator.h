/* A small world to test against: colorants, clear base, camera and hands, all of its own making.
 *
 * Shares no code with core: other bands (380 to 780 nm by 5), spectra of other functional forms with the
 * sharp edges of real pigments, its own Kubelka-Munk (the exponential form of the slab), surface, observer
 * sum, CIELAB and random numbers. */
#ifndef SIMULATOR_H
#define SIMULATOR_H

#include <stdint.h>

enum { SIM_BANDS = 81, SIM_BOTTLES = 9 };
enum { SIM_YELLOW, SIM_ORANGE, SIM_RED, SIM_BLUE, SIM_GREEN, SIM_VIOLET, SIM_BROWN, SIM_WHITE, SIM_BLACK };

typedef struct sim_lab {
  double L, a, b;
} sim_lab;

typedef struct sim_material {
  double k[SIM_BANDS], s[SIM_BANDS]; /* per mm, at 1 drop per fl oz for a bottle */
} sim_material;

typedef struct sim_world {
  sim_material base, bottle[SIM_BOTTLES];
  double strength[SIM_BOTTLES]; /* drift of a bottle since its chips: factor, 1 at first */
  double k1, k2;                /* surface */
  double chip_gap;              /* air between chip (or bait) and backing, 0..1 */
  double camera_matrix[6][3];   /* root-polynomial correction to XYZ, fitted to 24 patches of its own */
  double shot_noise;            /* share by which one photo's exposure and channels are off; 0.006 */
  double gloss; /* most light that a shot's gloss leaves on a reading, as a share of white; 0 */
  uint64_t random;
} sim_world;

extern const char *const sim_bottle_names[SIM_BOTTLES];

/* Colorants vary with the seed: edges by some nm, strengths by a quarter. */
void sim_world_make(sim_world *world, uint64_t seed);
double sim_uniform(sim_world *world); /* 0 <= x < 1 */
double sim_normal(sim_world *world);

/* True color of loadings (drops per fl oz) in a slab over a backing of that reflectance. */
sim_lab sim_color(const sim_world *world, const double loading[SIM_BOTTLES], double thickness_mm,
                  double backing);
/* The same through the camera and its correction: mean of so many photos. */
sim_lab sim_photo(sim_world *world, const double loading[SIM_BOTTLES], double thickness_mm, double backing,
                  int shots);
/* What a hand really puts in when it means these drops: each off by `share` (one deviation). */
void sim_drops(sim_world *world, const double meant[SIM_BOTTLES], double share, double put[SIM_BOTTLES]);
/* A recipe of 2 to 4 bottles, 1 to 12 drops per fl oz in all (log-uniform), split at random; never a white
 * and black alone. */
void sim_recipe(sim_world *world, double loading[SIM_BOTTLES]);

#endif
