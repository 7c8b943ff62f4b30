/* Photos with a card somewhere in them, as phones and cameras of many kinds take them: the finder's test. */
#ifndef DROPWISE_TEST_FIND_SCENE_H
#define DROPWISE_TEST_FIND_SCENE_H

#include "dropwise/card.h"
#include "dropwise/numeric.h"

typedef enum find_ground {
  GROUND_PLAIN,
  GROUND_WOOD,
  GROUND_CLOTH,
  GROUND_TEXT,
  GROUND_CLUTTER,
  GROUND_MAT,
  GROUND_TILES,
  GROUNDS
} find_ground;

enum { FIND_BAITS = 8, FIND_GLARES = 2, FIND_THINGS = 60 };

/* A photo to be made. Lengths in photo pixels. */
typedef struct find_look {
  int width, height;
  double patch_px;                     /* side of a patch at the card's middle */
  double gap, margin;                  /* between patches and around them, in patch sides */
  double edge[3];                      /* linear color of gap and margin */
  double x, y, turn_deg;               /* the card's middle */
  double tilt_deg, tilt_axis_deg, far; /* far: focal length in photo widths */
  bool mirrored;
  find_ground ground;
  int baits, glares;
  double uneven, uneven_deg; /* the light's ratio over the frame, and its direction */
  double shadow;             /* share of light in a soft shadow; 1 none */
  double gain[3], matrix[9], gamma, contrast;
  double blur_px, noise; /* noise: of encoded values */
  int quality;           /* of the JPEG */
  uint64_t seed;
} find_look;

/* Draws everything at random; the card lies wholly inside. longest  side of the photo; patch_share  side of a
 * patch in 1200ths of it */
find_look find_look_draw(dw_random *random, const dw_card *card, int longest, double patch_share,
                         double tilt_deg);
/* Where the centers of the card's corner patches are. */
dw_corners find_look_corners(const find_look *look, const dw_card *card);
/* Every corner of the card's board is at least so many pixels inside the photo. */
bool find_look_inside(const find_look *look, const dw_card *card, double margin_px);
/* Renders the photo. seen  the patches' linear values as displayed under even light, rows * cols x 3, or NULL
 * for the look's own camera. The picture is malloc()ed, width x height x 3, sRGB. */
uint8_t *find_look_render(const find_look *look, const dw_card *card, const double *seen);
/* The picture through JPEG of the look's quality into a temporary file, opened; NULL on failure. */
dw_photo *find_look_photo(const find_look *look, uint8_t *rgb);

#endif
