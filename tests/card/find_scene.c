#include "card/find_scene.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define DEGREE (3.14159265358979323846 / 180.0)

static double between(dw_random *r, double low, double high) {
  return low + (high - low) * dw_random_uniform(r);
}

static double log_between(dw_random *r, double low, double high) {
  return exp(between(r, log(low), log(high)));
}

/* ---- the card's place ------------------------------------------------------------------------------------
 */

/* Card plane (patch sides about the middle) to photo pixels: a pinhole camera whose axis meets the photo's
 * middle. */
static void project(const find_look *l, double u, double v, double out[2]) {
  const double turn = l->turn_deg * DEGREE, axis = l->tilt_axis_deg * DEGREE, tilt = l->tilt_deg * DEGREE;
  if (l->mirrored) u = -u;
  const double x = cos(turn) * u - sin(turn) * v, y = sin(turn) * u + cos(turn) * v;
  const double along = cos(axis) * x + sin(axis) * y, across = -sin(axis) * x + cos(axis) * y;
  const double focal = l->far * l->width, depth = focal / l->patch_px; /* in patch sides */
  const double flat = across * cos(tilt), z = depth + across * sin(tilt);
  const double x0 = (l->x - l->width / 2.0) / l->patch_px, y0 = (l->y - l->height / 2.0) / l->patch_px;
  out[0] = l->width / 2.0 + focal * (x0 + cos(axis) * along - sin(axis) * flat) / z;
  out[1] = l->height / 2.0 + focal * (y0 + sin(axis) * along + cos(axis) * flat) / z;
}

static void half_sides(const find_look *l, const dw_card *card, double margin, double out[2]) {
  out[0] = 0.5 * ((double)card->cols + ((double)card->cols - 1.0) * l->gap) + margin;
  out[1] = 0.5 * ((double)card->rows + ((double)card->rows - 1.0) * l->gap) + margin;
}

/* Four points: so far outside of the patches, first patch's corner first. */
static void card_quad(const find_look *l, const dw_card *card, double margin, double xy[8]) {
  static const double side[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
  double half[2];
  half_sides(l, card, margin, half);
  for (int k = 0; k < 4; k++) project(l, side[k][0] * half[0], side[k][1] * half[1], &xy[2 * k]);
}

dw_corners find_look_corners(const find_look *look, const dw_card *card) {
  dw_corners out;
  card_quad(look, card, -0.5, out.xy);
  return out;
}

bool find_look_inside(const find_look *look, const dw_card *card, double margin_px) {
  double xy[8];
  card_quad(look, card, look->margin, xy);
  for (int k = 0; k < 4; k++)
    if (xy[2 * k] < margin_px || xy[2 * k] > look->width - 1 - margin_px || xy[2 * k + 1] < margin_px ||
        xy[2 * k + 1] > look->height - 1 - margin_px)
      return false;
  return true;
}

static void place_draw(find_look *l, dw_random *r, const dw_card *card) {
  for (int tries = 0; tries < 1000; tries++) {
    l->x = between(r, 0.0, l->width);
    l->y = between(r, 0.0, l->height);
    l->turn_deg = between(r, 0.0, 360.0);
    l->tilt_axis_deg = between(r, 0.0, 360.0);
    if (tries % 20 == 19) l->patch_px *= 0.95; /* too large to lie inside */
    if (find_look_inside(l, card, 3.0)) return;
  }
}

static void camera_draw(find_look *l, dw_random *r) {
  const double warm = between(r, -0.35, 0.45); /* shade to tungsten, as far as the camera left it */
  const double light = log_between(r, 0.45, 0.95);
  l->gain[0] = light * exp(fmin(warm, 0.0));
  l->gain[1] = light * exp(-0.5 * fabs(warm) + between(r, -0.06, 0.06));
  l->gain[2] = light * exp(fmin(-warm, 0.0) - 0.3 * fmax(warm, 0.0));
  for (int o = 0; o < 3; o++) {
    double sum = 0.0;
    for (int c = 0; c < 3; c++)
      sum += l->matrix[3 * o + c] = (o == c ? 1.0 : 0.0) + 0.08 * dw_random_normal(r);
    for (int c = 0; c < 3; c++) l->matrix[3 * o + c] /= sum;
  }
  l->gamma = between(r, 0.8, 1.3);
  l->contrast = between(r, 0.0, 0.7);
}

static void edge_draw(find_look *l, dw_random *r) {
  static const double tones[] = {0.015, 0.03, 0.85, 0.2};
  const double tone = tones[dw_random_uniform(r) < 0.6 ? 0 : (int)between(r, 0.0, 4.0)];
  static const double gaps[] = {0.0, 0.03, 0.08, 0.15, 0.25, 0.35};
  l->gap = gaps[(int)between(r, 0.0, 6.0)];
  l->margin = between(r, 0.0, 0.6);
  for (int c = 0; c < 3; c++) l->edge[c] = tone * between(r, 0.95, 1.05);
}

find_look find_look_draw(dw_random *r, const dw_card *card, int longest, double patch_share,
                         double tilt_deg) {
  const int shorter = (int)(longest * between(r, 0.5, 1.0));
  const bool upright = dw_random_uniform(r) < 0.5;
  find_look l = {.width = upright ? shorter : longest, .height = upright ? longest : shorter};
  l.patch_px = patch_share * longest / 1200.0;
  l.tilt_deg = tilt_deg;
  l.far = between(r, 0.75, 1.6) * longest / l.width;
  edge_draw(&l, r);
  place_draw(&l, r, card);
  camera_draw(&l, r);
  l.ground = (find_ground)between(r, 0.0, GROUNDS);
  l.baits = (int)between(r, 0.0, FIND_BAITS + 1);
  l.glares = dw_random_uniform(r) < 0.25 ? 1 + (int)between(r, 0.0, 2.0) : 0;
  l.uneven = log_between(r, 1.0, 2.0);
  l.uneven_deg = between(r, 0.0, 360.0);
  l.shadow = dw_random_uniform(r) < 0.2 ? between(r, 0.5, 0.9) : 1.0;
  l.blur_px = between(r, 0.0, 1.2) * longest / 1200.0;
  l.noise = between(r, 0.002, 0.02);
  l.quality = (int)between(r, 60.0, 96.0);
  l.seed = (uint64_t)(1e9 * dw_random_uniform(r));
  return l;
}

/* ---- what lies beside it ---------------------------------------------------------------------------------
 */

/* Repeatable chance by place, 0..1. */
static double hash(int x, int y, uint64_t seed) {
  uint64_t v =
      seed + 0x9e3779b97f4a7c15u * (uint64_t)(x + 100000) + 0xd1b54a32d192ed03u * (uint64_t)(y + 100000);
  v = (v ^ (v >> 31)) * 0xbf58476d1ce4e5b9u;
  v = (v ^ (v >> 29)) * 0x94d049bb133111ebu;
  return (double)(v >> 40) / (double)(1u << 24);
}

static double smooth_noise(double x, double y, uint64_t seed) {
  const int ix = (int)floor(x), iy = (int)floor(y);
  const double fx = x - ix, fy = y - iy;
  const double top = (1 - fx) * hash(ix, iy, seed) + fx * hash(ix + 1, iy, seed);
  const double low = (1 - fx) * hash(ix, iy + 1, seed) + fx * hash(ix + 1, iy + 1, seed);
  return (1 - fy) * top + fy * low;
}

typedef struct thing {
  double x, y, a, b, cos, sin, color[2][3];
  bool round;
} thing;

typedef struct painter {
  const find_look *look;
  const dw_card *card;
  const double *seen;
  dw_homography to_card;
  double half[2];
  double ground[3], other[3];
  int n_things;
  thing things[FIND_THINGS + FIND_BAITS];
  double glare[FIND_GLARES][3];
  double shade[3]; /* line of the shadow's border */
  double unit;     /* a thousandth of the photo's longer side */
} painter;

static void color_draw(dw_random *r, double out[3]) {
  const dw_lab lab = {between(r, 15.0, 92.0), 35.0 * dw_random_normal(r), 35.0 * dw_random_normal(r)};
  dw_linear_from_xyz(dw_xyz_from_lab(lab), out);
  for (int c = 0; c < 3; c++) out[c] = fmin(fmax(out[c], 0.005), 0.95);
}

static void things_draw(painter *p, dw_random *r) {
  const int clutter = p->look->ground == GROUND_CLUTTER ? FIND_THINGS : 0;
  p->n_things = clutter + p->look->baits;
  for (int i = 0; i < p->n_things; i++) {
    thing *t = &p->things[i];
    const double size = p->unit * between(r, 15.0, i < clutter ? 150.0 : 60.0), turn = between(r, 0.0, 6.28);
    *t = (thing){.x = between(r, 0.0, p->look->width), .y = between(r, 0.0, p->look->height)};
    t->a = i < clutter ? size : 3.0 * size;
    t->b = i < clutter ? size * between(r, 0.3, 1.0) : size;
    t->cos = cos(turn);
    t->sin = sin(turn);
    t->round = i >= clutter || dw_random_uniform(r) < 0.4;
    color_draw(r, t->color[0]);
    color_draw(r, t->color[1]);
    if (i < clutter) memcpy(t->color[1], t->color[0], sizeof t->color[1]);
  }
}

static void thing_paint(const thing *t, double x, double y, double out[3]) {
  const double u = ((x - t->x) * t->cos + (y - t->y) * t->sin) / t->a,
               v = (-(x - t->x) * t->sin + (y - t->y) * t->cos) / t->b;
  if (t->round ? u * u + v * v > 1.0 : fmax(fabs(u), fabs(v)) > 1.0) return;
  memcpy(out, t->color[v > 0.0], 3 * sizeof *out);
}

static double ground_share(const painter *p, double x, double y) {
  const double u = x / p->unit, v = y / p->unit;
  const uint64_t seed = p->look->seed;
  switch (p->look->ground) {
  case GROUND_WOOD:
    return 0.6 * smooth_noise(u / 400.0, v / 9.0, seed) + 0.2 * smooth_noise(u / 30.0, v / 2.0, seed);
  case GROUND_CLOTH:
    return 0.5 * (fmod(u, 60.0) < 30.0) + 0.5 * (fmod(v, 60.0) < 30.0);
  case GROUND_TEXT:
    return fmod(v, 16.0) < 8.0 && hash((int)(u / 5.0), (int)(v / 16.0), seed) < 0.65 && fmod(u, 5.0) < 3.8;
  case GROUND_MAT:
    return fmod(u, 40.0) < 1.6 || fmod(v, 40.0) < 1.6;
  case GROUND_TILES:
    return fmod(u, 50.0) < 5.0 || fmod(v, 50.0) < 5.0 ? 1.0
                                                      : 0.3 * hash((int)(u / 50.0), (int)(v / 50.0), seed);
  default:
    return 0.1 * smooth_noise(u / 20.0, v / 20.0, seed);
  }
}

static void ground_paint(const painter *p, double x, double y, double out[3]) {
  const double share = ground_share(p, x, y);
  for (int c = 0; c < 3; c++) out[c] = (1.0 - share) * p->ground[c] + share * p->other[c];
  for (int i = 0; i < p->n_things; i++) thing_paint(&p->things[i], x, y, out);
}

/* True where the card is; its patches are as the camera shows them already when `seen` is given. */
static bool card_paint(const painter *p, double x, double y, double out[3], bool *shown) {
  const find_look *l = p->look;
  double u, v;
  dw_homography_at(&p->to_card, x, y, &u, &v);
  if (fabs(u) > p->half[0] || fabs(v) > p->half[1]) return false;
  const double pitch = 1.0 + l->gap;
  const double across = u + p->half[0] - l->margin, down = v + p->half[1] - l->margin;
  const double column = floor(across / pitch), row = floor(down / pitch);
  memcpy(out, l->edge, sizeof l->edge);
  if (column < 0 || row < 0 || column >= (double)p->card->cols || row >= (double)p->card->rows) return true;
  if (across - column * pitch > 1.0 || down - row * pitch > 1.0) return true;
  const size_t i = (size_t)row * p->card->cols + (size_t)column;
  if (p->seen != NULL) {
    memcpy(out, &p->seen[3 * i], 3 * sizeof *out);
    *shown = true;
    return true;
  }
  dw_linear_from_xyz(dw_xyz_from_lab(p->card->lab[i]), out);
  return true;
}

static double light_at(const painter *p, double x, double y) {
  const find_look *l = p->look;
  const double along = (cos(l->uneven_deg * DEGREE) * (x - l->width / 2.0) +
                        sin(l->uneven_deg * DEGREE) * (y - l->height / 2.0)) /
                       (1000.0 * p->unit);
  const double edge = (p->shade[0] * x + p->shade[1] * y - p->shade[2]) / (40.0 * p->unit);
  const double lit = l->shadow + (1.0 - l->shadow) / (1.0 + exp(-edge));
  return lit * exp(log(l->uneven) * (fmax(-0.5, fmin(along, 0.5)) - 0.5));
}

static double tone(const find_look *l, double value) {
  const double e = dw_srgb_encode(pow(fmin(fmax(value, 0.0), 1.0), l->gamma));
  return fmin(fmax(e + 1.2 * l->contrast * e * (1.0 - e) * (e - 0.45), 0.0), 1.0);
}

/* tone() and the plain encoding by even steps of the square root: pictures have many pixels. */
enum { TONE_STEPS = 2048, DEVIATES = 1 << 14 };
typedef struct tables {
  float tone[TONE_STEPS + 1], plain[TONE_STEPS + 1], normal[DEVIATES];
} tables;

static void tables_fill(tables *t, const find_look *l, dw_random *r) {
  for (int i = 0; i <= TONE_STEPS; i++) {
    const double root = i / (double)TONE_STEPS;
    t->tone[i] = (float)tone(l, root * root);
    t->plain[i] = (float)dw_srgb_encode(root * root);
  }
  for (int i = 0; i < DEVIATES; i++) t->normal[i] = (float)dw_random_normal(r);
}

static double table_at(const float *table, double value) {
  return (double)table[lround(TONE_STEPS * sqrt(fmin(fmax(value, 0.0), 1.0)))];
}

/* Encoded color of one point. */
static void point_see(const painter *p, const tables *t, double x, double y, double out[3]) {
  const find_look *l = p->look;
  double color[3], lit[3], light = light_at(p, x, y), veil = 0.0;
  bool shown = false;
  if (!card_paint(p, x, y, color, &shown)) ground_paint(p, x, y, color);
  for (int g = 0; g < l->glares; g++) {
    const double d = hypot(x - p->glare[g][0], y - p->glare[g][1]) / p->glare[g][2];
    veil += 0.9 * exp(-d * d);
  }
  for (int c = 0; c < 3; c++) lit[c] = (shown ? 1.0 : l->gain[c]) * (color[c] * light + veil);
  for (int c = 0; c < 3; c++) {
    const double *m = &l->matrix[3 * c];
    out[c] =
        shown ? table_at(t->plain, lit[c]) : table_at(t->tone, m[0] * lit[0] + m[1] * lit[1] + m[2] * lit[2]);
  }
}

static void painter_make(painter *p, const find_look *l, const dw_card *card, const double *seen) {
  dw_random r = dw_random_seed(l->seed);
  double from[8], to[8];
  *p = (painter){.look = l, .card = card, .seen = seen};
  p->unit = (l->width > l->height ? l->width : l->height) / 1000.0;
  half_sides(l, card, l->margin, p->half);
  card_quad(l, card, l->margin, from);
  const double plane[8] = {-p->half[0], -p->half[1], p->half[0],  -p->half[1],
                           p->half[0],  p->half[1],  -p->half[0], p->half[1]};
  memcpy(to, plane, sizeof to);
  if (dw_homography_fit(from, to, &p->to_card, NULL) != DW_OK) abort();
  color_draw(&r, p->ground);
  color_draw(&r, p->other);
  things_draw(p, &r);
  for (int g = 0; g < l->glares; g++) {
    double at[2]; /* on one patch: more than two lost ones are refused, whoever finds the card */
    const double column = floor(between(&r, 0.0, (double)card->cols)),
                 row = floor(between(&r, 0.0, (double)card->rows));
    project(l, column * (1.0 + l->gap) - p->half[0] + l->margin + 0.5,
            row * (1.0 + l->gap) - p->half[1] + l->margin + 0.5, at);
    p->glare[g][0] = at[0];
    p->glare[g][1] = at[1];
    p->glare[g][2] = l->patch_px * between(&r, 0.15, 0.4);
  }
  const double turn = between(&r, 0.0, 6.28);
  p->shade[0] = cos(turn);
  p->shade[1] = sin(turn);
  p->shade[2] = cos(turn) * between(&r, 0.2, 0.8) * l->width + sin(turn) * between(&r, 0.2, 0.8) * l->height;
}

/* ---- the picture -----------------------------------------------------------------------------------------
 */

/* One line of n values, stride apart, blurred by a Gaussian. */
static void line_blur(float *at, int n, size_t stride, const double *weight, int reach, float *work) {
  for (int i = 0; i < n; i++) work[i] = at[(size_t)i * stride];
  for (int i = 0; i < n; i++) {
    double sum = 0.0;
    for (int k = -reach; k <= reach; k++) {
      const int j = i + k < 0 ? 0 : i + k >= n ? n - 1 : i + k;
      sum += weight[k + reach] * (double)work[j];
    }
    at[(size_t)i * stride] = (float)sum;
  }
}

enum { BLUR_REACH = 16 };
static void picture_blur(float *px, int w, int h, double sigma) {
  double weight[2 * BLUR_REACH + 1], sum = 0.0;
  const int reach = (int)fmin(ceil(2.5 * sigma), BLUR_REACH);
  float *work = malloc((size_t)(w > h ? w : h) * sizeof *work);
  if (work == NULL) abort();
  for (int k = -reach; k <= reach; k++) sum += weight[k + reach] = exp(-0.5 * k * k / (sigma * sigma));
  for (int k = 0; k <= 2 * reach; k++) weight[k] /= sum;
  for (int c = 0; c < 3; c++) {
    for (int y = 0; y < h; y++) line_blur(px + 3 * (size_t)y * (size_t)w + c, w, 3, weight, reach, work);
    for (int x = 0; x < w; x++) line_blur(px + 3 * x + c, h, 3 * (size_t)w, weight, reach, work);
  }
  free(work);
}

static bool card_near(const painter *p, double x, double y) {
  double u, v;
  dw_homography_at(&p->to_card, x, y, &u, &v);
  return fabs(u) < p->half[0] + 0.2 && fabs(v) < p->half[1] + 0.2;
}

static size_t random_index(dw_random *r) {
  return (size_t)(dw_random_uniform(r) * DEVIATES);
}

uint8_t *find_look_render(const find_look *l, const dw_card *card, const double *seen) {
  const size_t n = (size_t)l->width * (size_t)l->height;
  painter *p = malloc(sizeof *p);
  tables *t = malloc(sizeof *t);
  float *px = malloc(3 * n * sizeof *px);
  uint8_t *out = malloc(3 * n);
  if (!p || !t || !px || !out) abort();
  painter_make(p, l, card, seen);
  dw_random r = dw_random_seed(l->seed + 1);
  tables_fill(t, l, &r);
  for (size_t i = 0; i < n; i++) {
    double sum[3] = {0}, one[3];
    const double x = (double)(i % (size_t)l->width), y = (double)(i / (size_t)l->width);
    const int samples = card_near(p, x, y) ? 4 : 1;
    for (int s = 0; s < samples; s++) {
      const double off = samples == 1 ? 0.0 : 0.25;
      point_see(p, t, x + ((s & 1) ? off : -off), y + ((s & 2) ? off : -off), one);
      for (int c = 0; c < 3; c++) sum[c] += one[c] / samples;
    }
    for (int c = 0; c < 3; c++) px[3 * i + (size_t)c] = (float)sum[c];
  }
  if (l->blur_px > 0.3) picture_blur(px, l->width, l->height, l->blur_px);
  for (size_t i = 0; i < 3 * n; i++)
    out[i] = (uint8_t)lround(
        255.0 * fmin(fmax((double)px[i] + l->noise * (double)t->normal[random_index(&r)], 0.0), 1.0));
  free(px);
  free(t);
  free(p);
  return out;
}

dw_photo *find_look_photo(const find_look *look, uint8_t *rgb) {
  const dw_preview whole = {look->width, look->height, 1.0, rgb};
  char path[] = "/tmp/find_scene_XXXXXX";
  dw_photo *photo = NULL;
  uint8_t *bytes = NULL;
  size_t n = 0;
  const int file = mkstemp(path);
  if (file < 0) return NULL;
  if (dw_preview_jpeg(&whole, look->quality, &bytes, &n, NULL) == DW_OK &&
      write(file, bytes, n) == (ssize_t)n)
    (void)dw_photo_open(path, NULL, &photo, NULL);
  free(bytes);
  close(file);
  unlink(path);
  return photo;
}
