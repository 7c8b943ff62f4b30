/* The bait's picture in pixels: the SVG's shapes, colors and shades, without its finest lines. No library
 * here draws SVG, and the few shapes it takes are masks: how much of each pixel lies inside. */
#include "report/bait_drawing.h"
#include "report/letters.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  SCALE = 2, /* pixels a unit */
  WIDE = SCALE * DW__BAIT_WIDTH,
  HIGH = SCALE * DW__BAIT_HEIGHT,
  PIXELS = WIDE * HIGH,
  SUB = 4, /* lines a pixel that an edge is sampled on */
  CROSSINGS_MAX = 256
};

/* Every ground of every bait is drawn with the same masks. */
typedef struct sheet {
  float *inside, *soft, *row; /* how much of each pixel lies in the silhouette; that blurred; scratch */
  uint8_t *rgb;               /* where the ground's first pixel goes */
  size_t stride;              /* pixels from row to row there */
} sheet;

/* ---- masks ------------------------------------------------------------------------------------------------ */

static int by_value(const void *a, const void *b) {
  const double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* Where a part's edge crosses the height y, in units. */
static size_t crossings(const dw__outline_part *part, double y, double *x) {
  size_t n = 0;
  for (size_t curve = 0; curve < part->n; curve++) {
    double a[2], b[2];
    dw__bait_part_at(part, curve, 0, a);
    for (int k = 1; k <= DW__PART_SAMPLES; k++, memcpy(a, b, sizeof a)) {
      dw__bait_part_at(part, curve, k, b);
      if ((a[1] <= y) == (b[1] <= y) || n == CROSSINGS_MAX) continue;
      x[n++] = a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
    }
  }
  qsort(x, n, sizeof *x, by_value);
  return n;
}

/* Adds a stretch of one line, from x to x in pixels. */
static void cover(float *line, double from, double to, float weight) {
  from = fmax(from, 0), to = fmin(to, WIDE);
  for (int x = (int)from; x < to && x < WIDE; x++)
    line[x] += weight * (float)(fmin(to, x + 1) - fmax(from, x));
}

static void mask_part(const dw__outline_part *part, float *scratch, float *inside) {
  double x[CROSSINGS_MAX];
  for (int row = 0; row < HIGH; row++) {
    memset(scratch, 0, WIDE * sizeof *scratch);
    for (int sub = 0; sub < SUB; sub++) {
      const size_t n = crossings(part, (row + (sub + 0.5) / SUB) / SCALE, x);
      for (size_t i = 0; i + 1 < n; i += 2) cover(scratch, SCALE * x[i], SCALE * x[i + 1], 1.0f / SUB);
    }
    for (int i = 0; i < WIDE; i++)
      inside[row * WIDE + i] = fmaxf(inside[row * WIDE + i], fminf(scratch[i], 1));
  }
}

/* A Gaussian blur along one direction.  step  1 for rows, WIDE for columns */
static void blur_along(const float *from, float *to, int step, int length, int lines, int apart,
                       double deviation) {
  enum { REACH_MAX = 64 };
  float weight[REACH_MAX + 1], sum = 0;
  const int reach = (int)fmin(REACH_MAX, ceil(3 * deviation));
  for (int k = 0; k <= reach; k++) {
    weight[k] = (float)exp(-0.5 * (k / deviation) * (k / deviation));
    sum += k ? 2 * weight[k] : weight[k];
  }
  for (int line = 0; line < lines; line++)
    for (int i = 0; i < length; i++) {
      float value = 0;
      for (int k = -reach; k <= reach; k++)
        if (i + k >= 0 && i + k < length) value += weight[abs(k)] * from[line * apart + (i + k) * step];
      to[line * apart + i * step] = value / sum;
    }
}

static void blur(const sheet *s, double deviation) {
  blur_along(s->inside, s->row, 1, WIDE, HIGH, WIDE, SCALE * deviation);
  blur_along(s->row, s->soft, WIDE, HIGH, WIDE, 1, SCALE * deviation);
}

/* The blurred mask moved by some units, at a pixel. */
static double soft_at(const sheet *s, int x, int y, double right, double down) {
  const int at_x = x - (int)(SCALE * right), at_y = y - (int)(SCALE * down);
  return at_x < 0 || at_x >= WIDE || at_y < 0 || at_y >= HIGH ? 0 : s->soft[at_y * WIDE + at_x];
}

/* ---- colors ----------------------------------------------------------------------------------------------- */

static void lay(const sheet *s, int x, int y, const uint8_t color[3], double opacity) {
  uint8_t *at = s->rgb + 3 * ((size_t)y * s->stride + (size_t)x);
  for (int c = 0; c < 3; c++) at[c] = (uint8_t)lround(at[c] + opacity * (color[c] - at[c]));
}

/* One column of pixels across the body: where it lies, and where each band begins. */
typedef struct across {
  double top, high;
  double begins[DW_BLEND_LAYERS_MAX][DW__BANDS];
} across;

static void look_across(const dw__bait_drawing *d, double x, across *out) {
  const double place = x * (DW__PROFILE_POINTS - 1) / DW__BAIT_WIDTH;
  const int i = (int)fmin(place, DW__PROFILE_POINTS - 2);
  const double t = place - i, *top = d->profile.top, *bottom = d->profile.bottom;
  out->top = top[i] + t * (top[i + 1] - top[i]);
  out->high = bottom[i] + t * (bottom[i + 1] - bottom[i]) - out->top;
  for (size_t border = 0; border + 1 < d->over[0].n; border++)
    for (int k = 0; k < DW__BANDS; k++) out->begins[border][k] = dw__bait_band_at(d, border, k, x);
}

/* The layer or blend there. */
static dw_lab color_at(const across *at, const dw_blends *over, double y) {
  const double height = (y - at->top) / at->high;
  for (size_t border = over->n - 1; border-- > 0;)
    for (int k = DW__BANDS; k-- > 0;)
      if (height > at->begins[border][k]) return dw__bait_band_color(over, border, k);
  return over->between[0].end[0].lab;
}

static const uint8_t black[3] = {0, 0, 0};

/* What draws something of a bait over a ground. */
typedef void put(const dw__bait_drawing *d, const dw_blends *over, const sheet *s);

/* soft: by DW__SHADOW_BLUR */
static void put_ground(const dw__bait_drawing *d, const dw_blends *over, const sheet *s) {
  uint8_t ground[3];
  (void)d;
  dw_srgb8_from_lab(dw__bait_ground(over), ground);
  for (int y = 0; y < HIGH; y++)
    for (int x = 0; x < WIDE; x++) {
      lay(s, x, y, ground, 1);
      lay(s, x, y, black, DW__SHADOW * soft_at(s, x, y, DW__SHADOW_X, DW__SHADOW_Y));
    }
}

static void put_layers(const dw__bait_drawing *d, const dw_blends *over, const sheet *s) {
  uint8_t color[3];
  across at;
  for (int x = 0; x < WIDE; x++) {
    look_across(d, (x + 0.5) / SCALE, &at);
    for (int y = 0; y < HIGH; y++) {
      const float inside = s->inside[y * WIDE + x];
      if (inside <= 0) continue;
      dw_srgb8_from_lab(color_at(&at, over, (y + 0.5) / SCALE), color);
      lay(s, x, y, color, inside);
    }
  }
}

/* A rim inside the silhouette: what lies outside of it when that is softened and moved up. */
static void put_rim(const sheet *s, double up, const uint8_t color[3], double opacity) {
  for (int y = 0; y < HIGH; y++)
    for (int x = 0; x < WIDE; x++)
      lay(s, x, y, color, opacity * s->inside[y * WIDE + x] * (1 - soft_at(s, x, y, 0, -up)));
}

/* soft: by DW__THIN_BLUR */
static void put_thin(const dw__bait_drawing *d, const dw_blends *over, const sheet *s) {
  uint8_t ground[3];
  dw_srgb8_from_lab(dw__bait_ground(over), ground);
  put_rim(s, 0, ground, dw__bait_thin(d, over));
}

/* soft: by DW__ROUND_BLUR */
static void put_round(const dw__bait_drawing *d, const dw_blends *over, const sheet *s) {
  (void)d;
  (void)over;
  put_rim(s, DW__ROUND_UP, black, DW__ROUND);
}

static void put_disk(const sheet *s, double cx, double cy, double radius, uint8_t gray, double opacity) {
  const uint8_t color[3] = {gray, gray, gray};
  for (int y = (int)(SCALE * (cy - radius)) - 1; y <= SCALE * (cy + radius) + 1; y++)
    for (int x = (int)(SCALE * (cx - radius)) - 1; x <= SCALE * (cx + radius) + 1; x++) {
      const double in = SCALE * radius + 0.5 - hypot(x + 0.5 - SCALE * cx, y + 0.5 - SCALE * cy);
      if (x >= 0 && x < WIDE && y >= 0 && y < HIGH) lay(s, x, y, color, opacity * fmin(fmax(in, 0), 1));
    }
}

static void put_eye(const sheet *s, const double eye[3]) {
  if (!(eye[2] > 0)) return;
  put_disk(s, eye[0], eye[1], eye[2], 0x11, DW__EYE);
  put_disk(s, eye[0] + DW__EYE_GLEAM_X * eye[2], eye[1] + DW__EYE_GLEAM_Y * eye[2],
           DW__EYE_GLEAM_RADIUS * eye[2], 0xff, DW__EYE_GLEAM);
}

/* At the lower left, a dot of a letter SCALE pixels wide. */
static void put_words(const sheet *s, const char *words, uint8_t gray) {
  const uint8_t color[3] = {gray, gray, gray};
  const uint8_t *column;
  int left = SCALE * 10, top = SCALE * (DW__BAIT_HEIGHT - 18);
  for (; (column = dw__letter_next(&words)) && left < WIDE / 2; left += SCALE * (DW__LETTER_COLUMNS + 1))
    for (int c = 0; c < DW__LETTER_COLUMNS; c++)
      for (int r = 0; r < DW__LETTER_ROWS; r++)
        for (int k = 0; column[c] >> r & 1 && k < SCALE * SCALE; k++)
          lay(s, left + SCALE * c + k % SCALE, top + SCALE * r + k / SCALE, color, 1);
}

/* ---- the whole -------------------------------------------------------------------------------------------- */

static void put_eye_and_words(const dw__bait_drawing *d, const dw_blends *over, const sheet *s) {
  char words[DW__BAIT_WORDS_ROOM];
  put_eye(s, d->outline->eye);
  dw__bait_words(d, over, words);
  put_words(s, words, dw__bait_ink(over));
}

static void put_each(const dw__bait_drawing *drawings, size_t n, sheet *s, uint8_t *rgb, put *what) {
  for (size_t i = 0; i < n; i++)
    for (size_t ground = 0; ground < DW__GROUNDS; ground++) {
      s->rgb = rgb + 3 * (i * SCALE * (DW__BAIT_WIDTH + DW__BAIT_GAP) + ground * HIGH * s->stride);
      what(&drawings[i], &drawings[i].over[ground], s);
    }
}

static dw_status put_all(const dw__bait_drawing *drawings, size_t n, dw_preview *picture, dw_error *err) {
  const dw__bait_outline *outline = drawings->outline; /* all have the same */
  float *room = calloc(3 * PIXELS, sizeof *room);
  if (!room) return dw_fail_memory(err, "the picture");
  sheet s = {room, room + PIXELS, room + 2 * PIXELS, NULL, (size_t)picture->width};
  for (size_t i = 0; i < outline->n_parts; i++) mask_part(&outline->part[i], s.row, s.inside);
  blur(&s, DW__SHADOW_BLUR);
  put_each(drawings, n, &s, picture->rgb, put_ground);
  put_each(drawings, n, &s, picture->rgb, put_layers);
  blur(&s, DW__THIN_BLUR);
  put_each(drawings, n, &s, picture->rgb, put_thin);
  blur(&s, DW__ROUND_BLUR);
  put_each(drawings, n, &s, picture->rgb, put_round);
  put_each(drawings, n, &s, picture->rgb, put_eye_and_words);
  free(room);
  return DW_OK;
}

dw_status dw_png_baits(const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                       const dw_bait_picture *picture, uint8_t **out, size_t *bytes, dw_error *err) {
  dw__bait_drawing *drawings = NULL;
  dw_preview pixels = {.width = SCALE * (int)(n * DW__BAIT_WIDTH + (n - 1) * DW__BAIT_GAP),
                       .height = DW__GROUNDS * HIGH,
                       .scale = 1};
  dw_status status = dw__bait_drawings_make(shelf, views, n, picture, &drawings, err);
  if (status != DW_OK) return status;
  const size_t room = 3 * (size_t)pixels.width * (size_t)pixels.height;
  pixels.rgb = malloc(room);
  status = pixels.rgb ? DW_OK : dw_fail_memory(err, "the picture");
  if (status == DW_OK) {
    memset(pixels.rgb, 0xff, room); /* between the baits */
    status = put_all(drawings, n, &pixels, err);
  }
  if (status == DW_OK) status = dw_preview_png(&pixels, out, bytes, err);
  free(pixels.rgb);
  free(drawings);
  return status;
}
