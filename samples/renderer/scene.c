#include "scene.h"

#include <math.h>

static void invert(const double m[9], double out[9]) {
  double c0 = m[4] * m[8] - m[5] * m[7], c1 = m[5] * m[6] - m[3] * m[8], c2 = m[3] * m[7] - m[4] * m[6];
  double d = m[0] * c0 + m[1] * c1 + m[2] * c2;
  const double adjugate[9] = {c0, m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
                              c1, m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
                              c2, m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
  for (int i = 0; i < 9; i++) out[i] = adjugate[i] / d;
}

view view_make(double pixels_per_mm, double turn_deg, double left_px, double top_px, double lean_x,
               double lean_y) {
  double r = turn_deg * 0.017453292519943295;
  view v = {.m = {pixels_per_mm * cos(r), -pixels_per_mm * sin(r), left_px, pixels_per_mm * sin(r),
                  pixels_per_mm * cos(r), top_px, lean_x, lean_y, 1}};
  invert(v.m, v.inverse);
  return v;
}

static void project(const double m[9], double x, double y, double *u, double *v) {
  double w = m[6] * x + m[7] * y + m[8];
  *u = (m[0] * x + m[1] * y + m[2]) / w;
  *v = (m[3] * x + m[4] * y + m[5]) / w;
}

void view_pixel(const view *v, double x_mm, double y_mm, double *x, double *y) {
  project(v->m, x_mm, y_mm, x, y);
}

void view_board(const view *v, double x, double y, double *x_mm, double *y_mm) {
  project(v->inverse, x, y, x_mm, y_mm);
}

double scene_light(const scene *s, double x, double y) {
  double u = x / s->width - 0.5, v = y / s->height - 0.5;
  double corner = (u * u + v * v) / 0.5;
  double bend = 0.02 * cos(3 * u + 1) * cos(2.3 * v); /* no window is a perfect plane of light */
  return (1 + 2 * (s->slope_x * u + s->slope_y * v) + bend) *
         (1 - s->vignette * corner * (0.6 + 0.4 * corner));
}

/* ---- card ---- */

static void card_to_board(const card_place *c, double u, double v, double *x_mm, double *y_mm) {
  double r = c->angle_deg * 0.017453292519943295;
  *x_mm = c->x_mm + cos(r) * u - sin(r) * v;
  *y_mm = c->y_mm + sin(r) * u + cos(r) * v;
}

void scene_patch(const scene *s, int row, int col, double *x, double *y) {
  double x_mm, y_mm;
  card_to_board(&s->card, (col - 2.5) * s->card.pitch_mm, (row - 1.5) * s->card.pitch_mm, &x_mm, &y_mm);
  view_pixel(&s->view, x_mm, y_mm, x, y);
}

/* Distance inside a rectangle with rounded corners. */
static double inside_rect(double u, double v, double half_u, double half_v, double round) {
  double du = fmax(fabs(u) - half_u + round, 0), dv = fmax(fabs(v) - half_v + round, 0);
  double out = hypot(du, dv) - round;
  return -fmax(out, fmax(fabs(u) - half_u, fabs(v) - half_v));
}

static double card_frame(const card_place *c, double x_mm, double y_mm, double *u, double *v) {
  double r = c->angle_deg * 0.017453292519943295;
  double dx = x_mm - c->x_mm, dy = y_mm - c->y_mm;
  *u = cos(r) * dx + sin(r) * dy;
  *v = -sin(r) * dx + cos(r) * dy;
  return inside_rect(*u, *v, 3.35 * c->pitch_mm, 2.35 * c->pitch_mm, 0.25 * c->pitch_mm);
}

static spectrum mix(const spectrum *p, const spectrum *q, double share) {
  spectrum s;
  for (int i = 0; i < BANDS; i++) s.v[i] = p->v[i] * (1 - share) + q->v[i] * share;
  return s;
}

static spectrum card_seen(const card_place *c, double u, double v, double pixel_mm) {
  spectrum frame = spectrum_flat(0.038);
  double col = floor(u / c->pitch_mm + 3), row = floor(v / c->pitch_mm + 2);
  if (col < 0 || col > 5 || row < 0 || row > 3) return frame;
  double du = u - (col - 2.5) * c->pitch_mm, dv = v - (row - 1.5) * c->pitch_mm;
  double inside = inside_rect(du, dv, 0.44 * c->pitch_mm, 0.44 * c->pitch_mm, 0.04 * c->pitch_mm);
  spectrum patch;
  for (int i = 0; i < BANDS; i++) patch.v[i] = card_patch[(int)(row * 6 + col)][i];
  return mix(&frame, &patch, fmin(fmax(inside / pixel_mm + 0.5, 0), 1));
}

/* ---- all together ---- */

/* Soft shadows that baits and card throw away from the window, and the darkness where they touch. */
static double shadow_at(const scene *s, double x_mm, double y_mm) {
  double shadow = 1;
  for (int i = 0; i < s->n; i++) {
    double frame[2], near[2];
    bait_to_frame(&s->baits[i], x_mm - 1.8, y_mm - 2.6, frame);
    bait_to_frame(&s->baits[i], x_mm - 0.3, y_mm - 0.5, near);
    double flat = s->baits[i].kind == BAIT_CHIP ? 0.35 : 1;
    double reach = flat < 1 ? 14 : 46;
    if (frame[0] < -reach || frame[0] > 2.7 * reach || fabs(frame[1]) > reach) continue;
    double thrown = bait_at(&s->baits[i], frame).inside_mm;
    if (thrown < -8) continue; /* too far from the bait for either */
    shadow *= 1 - 0.30 * flat * step_smooth(-3.2, 2.4, thrown);
    shadow *= 1 - 0.28 * flat * step_smooth(-1.6, 0.3, bait_at(&s->baits[i], near).inside_mm);
  }
  double u, v;
  double inside = card_frame(&s->card, x_mm - 0.7, y_mm - 1.0, &u, &v);
  return shadow * (1 - 0.30 * step_smooth(-1.2, 0.6, inside));
}

static void bait_paint(const scene *s, int index, const double frame[2], const bait_point *at,
                       const spectrum *backing, double pixel_mm, seen *out) {
  const bait *b = &s->baits[index];
  double weight[3] = {1, 0, 0}, shade = 1;
  if (b->kind != BAIT_CHIP) bait_weights(b, frame, at, weight);
  plastic p = b->kind == BAIT_CHIP ? b->layer[0] : plastic_blend(b->layer, weight);
  spectrum plain = plastic_seen(&p, at->thickness_mm, backing), speck;
  spectrum lit = plain;
  int eye = bait_eye(b, frame);
  if (eye) lit = spectrum_flat(eye == 2 ? 0.015 : 0.72);
  double mirror = gloss_at(b, frame, at, &shade);
  double flake = eye ? 0 : flake_at(b, frame, pixel_mm, &speck);
  if (flake > 0) lit = mix(&lit, &speck, flake);
  for (int i = 0; i < BANDS; i++) lit.v[i] *= shade;
  double cover = fmin(fmax(at->inside_mm / pixel_mm + 0.5, 0), 1);
  out->reflectance = mix(&out->reflectance, &lit, cover);
  if (cover < 0.5) return;
  out->plain = plain;
  out->mirror = mirror * cover;
  out->flake = flake;
  out->bait = index;
}

seen scene_seen(const scene *s, double x, double y) {
  double x_mm, y_mm, x2, y2, u, v;
  view_board(&s->view, x, y, &x_mm, &y_mm);
  view_board(&s->view, x + 1, y, &x2, &y2);
  double pixel_mm = hypot(x2 - x_mm, y2 - y_mm);
  seen out = {.bait = -1};
  spectrum bare = board_backing(s, x_mm, y_mm);
  out.reflectance = bare;
  double on_card = card_frame(&s->card, x_mm, y_mm, &u, &v);
  double shadow = on_card > 0 ? 1 : shadow_at(s, x_mm, y_mm);
  for (int i = 0; i < BANDS; i++) out.reflectance.v[i] *= shadow;
  if (on_card > -pixel_mm) {
    spectrum card = card_seen(&s->card, u, v, pixel_mm);
    out.reflectance = mix(&out.reflectance, &card, fmin(fmax(on_card / pixel_mm + 0.5, 0), 1));
  }
  for (int i = 0; i < s->n; i++) {
    double frame[2];
    bait_to_frame(&s->baits[i], x_mm, y_mm, frame);
    if (frame[0] < -45 || frame[0] > 115 || fabs(frame[1]) > 40) continue;
    bait_point at = bait_at(&s->baits[i], frame);
    if (at.inside_mm > -pixel_mm) bait_paint(s, i, frame, &at, &bare, pixel_mm, &out);
  }
  return out;
}
