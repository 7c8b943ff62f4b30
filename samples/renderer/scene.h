/* A board with a card and baits, as light reaches the lens: linear signals of the camera's sensor. */
#ifndef RENDERER_SCENE_H
#define RENDERER_SCENE_H

#include "bait.h"

enum { SCENE_BAITS_MAX = 32 };
typedef enum board_kind { BOARD_GRAY, BOARD_WOOD, BOARD_CHIPS } board_kind;

/* Board millimeters to photo pixels: (m0 x + m1 y + m2, m3 x + m4 y + m5) / (m6 x + m7 y + 1). */
typedef struct view {
  double m[9], inverse[9];
} view;
view view_make(double pixels_per_mm, double turn_deg, double left_px, double top_px, double lean_x,
               double lean_y);
void view_pixel(const view *v, double x_mm, double y_mm, double *x, double *y);
void view_board(const view *v, double x, double y, double *x_mm, double *y_mm);

enum { KNIFE_MARKS = 46 };
typedef struct knife_mark {
  double x_mm, y_mm, cos, sin, half_mm, depth;
} knife_mark;

/* The board's spectra: as it is, what its warm rings add, and the white of the stripes under chips. */
typedef struct board_paint {
  spectrum plain, warm, white;
  knife_mark mark[KNIFE_MARKS];
} board_paint;

typedef struct card_place {
  double x_mm, y_mm, angle_deg; /* center of the grid */
  double pitch_mm;
} card_place;

typedef struct scene {
  int width, height; /* upright */
  view view;
  light_kind light;
  double slope_x, slope_y; /* light at the right over left edge, bottom over top: half of the change */
  double vignette;         /* loss at the corners */
  board_kind board;
  board_paint paint; /* board_paint_make(board, seed) */
  card_place card;
  int n;
  bait baits[SCENE_BAITS_MAX];
  uint32_t seed;
} scene;

/* What one pixel shows, before the lens. */
typedef struct seen {
  spectrum reflectance; /* diffuse, as lit */
  spectrum plain;       /* diffuse plastic without flake and shading; only where bait >= 0 */
  double mirror;        /* gloss, as a share of a perfect white's light */
  double flake;         /* share of the pixel under flake */
  int bait;             /* index, or -1 */
} seen;

seen scene_seen(const scene *s, double x, double y);
double scene_light(const scene *s, double x, double y); /* relative; 1 in the middle */
/* Center of a patch in photo pixels. */
void scene_patch(const scene *s, int row, int col, double *x, double *y);

/* board.c */
board_paint board_paint_make(board_kind kind, uint32_t seed);
spectrum board_backing(const scene *s, double x_mm, double y_mm);

/* surface.c: gloss and flake. */
double gloss_at(const bait *b, const double frame[2], const bait_point *at, double *shade);
double flake_at(const bait *b, const double frame[2], double pixel_mm, spectrum *color);

#endif
