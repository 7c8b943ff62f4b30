/* Plastic of the renderer: invented bottles, their two-constant mixing, and a slab over a backing. */
#ifndef RENDERER_PLASTIC_H
#define RENDERER_PLASTIC_H

#include "spectra.h"

typedef enum bottle { ORANGE, YELLOW, RED, BROWN, BLUE, GREEN, BLACK, WHITE, BOTTLES } bottle;
extern const char *const bottle_name[BOTTLES];

/* Drops per fl oz of every bottle. */
typedef struct recipe {
  double drops[BOTTLES];
} recipe;

typedef struct plastic {
  spectrum k, s; /* per mm */
} plastic;

plastic plastic_mix(const recipe *r);
plastic plastic_blend(const plastic layer[3], const double weight[3]);
/* Diffuse reflectance, mirror reflection excluded, as seen from outside. */
spectrum plastic_seen(const plastic *p, double thickness_mm, const spectrum *backing);
/* "orange=6;brown=2" */
void recipe_text(const recipe *r, char *out, int room);

#endif
