/* What lies on and in the plastic: mirror reflections of window and lamp, and flake. */
#include <math.h>

#include "scene.h"

typedef struct direction {
  double x, y, z;
} direction;

static direction unit(double x, double y, double z) {
  double n = sqrt(x * x + y * y + z * z);
  return (direction){x / n, y / n, z / n};
}

static double dot(direction p, direction q) {
  return p.x * q.x + p.y * q.y + p.z * q.z;
}

/* Normal of the upper surface, in board directions. The baits' upper half is half of their thickness. */
static direction normal_at(const bait *b, const double frame[2], const bait_point *at) {
  const double step = 0.12;
  double right[2] = {frame[0] + step, frame[1]}, down[2] = {frame[0], frame[1] + step};
  double half = b->kind == BAIT_CHIP ? 1.0 : 0.55;
  double dx = half * (bait_at(b, right).height_mm - at->height_mm) / step;
  double dy = half * (bait_at(b, down).height_mm - at->height_mm) / step;
  double r = b->angle_deg * 0.017453292519943295;
  return unit(-(cos(r) * dx - sin(r) * dy), -(sin(r) * dx + cos(r) * dy), 1);
}

/* Mirror reflection as a share of white; *shade is the diffuse light against that on the flat board. */
double gloss_at(const bait *b, const double frame[2], const bait_point *at, double *shade) {
  direction normal = normal_at(b, frame, at);
  direction window = unit(-0.30, -0.46, 0.84);
  *shade = 0.66 + 0.34 * fmax(dot(normal, window), 0) / window.z;
  direction half_window = unit(-0.16, -0.27, 1), half_lamp = unit(b->lamp[0], b->lamp[1], 1),
            half_far = unit(0.05, 0.33, 1);
  double w = fmax(dot(normal, half_window), 0), l = fmax(dot(normal, half_lamp), 0);
  double f = fmax(dot(normal, half_far), 0);
  double bright =
      0.62 * pow(w, 900) + 0.10 * pow(w, 160) + 0.55 * pow(l, 2600) + 0.05 * pow(l, 300) + 0.12 * pow(f, 500);
  return b->gloss * bright;
}

static spectrum flake_color(double pick, double tilt) {
  spectrum s;
  double bright = 0.30 + 0.75 * tilt * tilt;
  for (int i = 0; i < BANDS; i++) {
    double nm = band_nm(i);
    if (pick < 0.46)
      s.v[i] = 0.022;
    else if (pick < 0.70)
      s.v[i] = 0.95 * bright;
    else if (pick < 0.86)
      s.v[i] = bright * (0.72 - 0.50 * falling(nm, 575, 16));
    else if (pick < 0.94)
      s.v[i] = bright * (0.14 + 0.42 * bell(nm, 540, 36));
    else
      s.v[i] = bright * (0.12 + 0.42 * bell(nm, 460, 34));
  }
  return s;
}

static double hexagon(double dx, double dy, double angle) {
  double far = 0;
  for (int side = 0; side < 3; side++) {
    double a = angle + side * 1.0471975511965976;
    far = fmax(far, fabs(dx * cos(a) + dy * sin(a)));
  }
  return far;
}

/* Share of a pixel under flake; *color is that flake's. One speck per cell of a loose grid, at most. */
double flake_at(const bait *b, const double frame[2], double pixel_mm, spectrum *color) {
  const double cell = 1.05, mean_area = 0.21; /* mm; mm2 of a speck of middle size */
  if (b->flake <= 0) return 0;
  double present = b->flake * cell * cell / mean_area;
  int cx = (int)floor(frame[0] / cell), cy = (int)floor(frame[1] / cell);
  double best = 0;
  for (int i = 0; i < 9; i++) {
    int gx = cx + i % 3 - 1, gy = cy + i / 3 - 1;
    if (hash_unit(gx, gy, b->seed + 31) > present) continue;
    double x = (gx + hash_unit(gx, gy, b->seed + 32)) * cell,
           y = (gy + hash_unit(gx, gy, b->seed + 33)) * cell;
    double radius = 0.13 + 0.21 * hash_unit(gx, gy, b->seed + 34);
    double away = hexagon(frame[0] - x, frame[1] - y, 3.0 * hash_unit(gx, gy, b->seed + 35));
    double cover = fmin(fmax((radius - away) / pixel_mm + 0.5, 0), 1);
    if (cover <= best) continue;
    best = cover;
    *color = flake_color(hash_unit(gx, gy, b->seed + 36), hash_unit(gx, gy, b->seed + 37));
  }
  return best;
}
