/* A bait with a card on a plain board under a lamp that stands elsewhere in each photo, or tilted itself: plain and
 * glossy, or with pearl in it.
 *
 * Pearl is flakes of a thin film on a carrier, lying along the surface with some scatter.  A flake mirrors the lamp
 * in the film's interference color, 4 r^2 sin^2(2 pi n d cos(angle) / wavelength) as in any book on optics (Born and
 * Wolf, Principles of Optics, 7.6; from memory); what it does not mirror goes on into the plastic.  How many flakes
 * stand right for the lamp and the eye falls off as a normal distribution with the angle of the half vector inside
 * the plastic (refracted, n = 1.5). */
#ifndef TESTS_BAIT_TURNED_H
#define TESTS_BAIT_TURNED_H

#include "boards.h"

enum { TURNED_PHOTOS = 3 };
typedef enum pearl_kind { PEARL_NONE, PEARL_SILVER, PEARL_COLOR, PEARL_SHIFT, PEARL_KINDS } pearl_kind;
extern const char *const pearl_words[PEARL_KINDS];

typedef struct turned {
  board b; /* with one bait, whose color is that of its layers */
  pearl_kind pearl;
  double strength; /* of its mirror light where all flakes stand right, as a share of a white's */
  double film_nm;  /* thickness times refractive index */
  double film_index;
  double spread;                  /* of the flakes, radians */
  double sharp, more[LAYERS_MAX]; /* of a swirl: how narrow its blends are, and what favors each color */
  double diffuse;                 /* share of the light that comes from all sides */
  struct {
    double lamp[3]; /* unit vector toward it; z up */
    double tilt[2]; /* of the bait alone, slopes */
    double exposure, balance_share;
    uint32_t seed;
  } shot[TURNED_PHOTOS];
} turned;

/* Bait number `seed` of that kind.  width  of the photos; 4 to 3 */
turned turned_make(uint32_t seed, pearl_kind pearl, int width);
/* Shot `which` as a JPEG file; nonzero on failure. */
int turned_save(const turned *t, int which, const char *path);

/* Four baits of one swirl of two or three colors, without order; one shot. */
turned swirled_make(uint32_t seed, int width);
/* What is true of one of them, without its edges: shares of volume, and each color's mean as lit,
 * alone, over where it is about pure. */
void swirled_truth(const turned *t, int bait, double share[LAYERS_MAX], lab_color color[LAYERS_MAX]);

#endif
