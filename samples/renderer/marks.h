/* Marked areas: what a person would have drawn on the photo, and what is truly there. */
#ifndef RENDERER_MARKS_H
#define RENDERER_MARKS_H

#include "scene.h"

enum { MARKS_MAX = 64, MARK_POINTS = 6 };
typedef enum mark_shape { MARK_RECT, MARK_ELLIPSE, MARK_POLY } mark_shape;

typedef struct mark {
  char name[56];
  mark_shape shape;
  double xy[2 * MARK_POINTS]; /* pixels: x, y, w, h / cx, cy, rx, ry / points */
  /* for chips only */
  const char *over;
  char recipe[64];
  double thickness_mm;
  /* truth, gathered while rendering */
  double xyz[3], thickness_sum;
  long pixels, gloss, flake;
} mark;

typedef struct marks {
  int n;
  mark mark[MARKS_MAX];
} marks;

/* A mark on a bait, centered in its own frame (mm); half sizes in mm. */
mark *mark_add(marks *m, const scene *s, int bait, const char *name, mark_shape shape, const double center[2],
               const double half[2]);
/* Adds pixel (x, y), its center at +0.5, to every mark that holds it. */
void marks_gather(marks *m, int x, int y, const seen *what);
/* Mirror light over this share of white makes a gloss pixel; flake over this share of it a flake pixel. */
#define GLOSS_OVER 0.02
#define FLAKE_OVER 0.25

/* NAME.marks.json and NAME.truth.json beside the photo; nonzero on failure. */
int marks_save(const char *folder, const char *name, const scene *s, const marks *m);
int truth_save(const char *folder, const char *name, const scene *s, const marks *m);
lab_color mark_lab(const mark *m);

#endif
