#include "report/bait_outline.h"

#include <math.h>
#include <string.h>

/* ---- the drawings: from the side, head to the left, in 600 by 200 ----------------------------------------
 */

/* clang-format off */
static const double crawfish_body[] = {190,112, 212,84,254,68,305,68, 352,68,386,76,420,84, 460,93,500,102,528,105, 548,90,574,86,584,96,
  592,112,588,134,574,144, 552,140,536,132,522,126, 480,138,430,145,380,145, 320,148,250,144,215,133, 200,128,191,120,190,112};
static const double crawfish_claw[] = {228,116, 195,110,165,119,142,112, 122,88,78,72,30,86, 50,90,70,97,86,106, 64,104,42,108,24,122,
  62,136,110,139,140,125, 168,137,198,138,232,136, 240,128,238,120,228,116};
static const double crawfish_far_claw[] = {236,96, 208,84,186,86,166,84, 150,60,112,42,70,52, 88,57,102,64,114,74, 96,70,78,75,62,86,
  94,100,134,105,164,97, 188,104,208,110,236,114, 242,108,242,101,236,96};
static const double crawfish_leg_1[] = {268,140, 262,156,252,170,232,178, 254,180,276,166,286,142, 280,138,274,138,268,140};
static const double crawfish_leg_2[] = {306,142, 302,160,292,174,272,183, 296,184,316,168,324,144, 318,140,312,140,306,142};
static const double crawfish_leg_3[] = {344,142, 344,160,336,176,320,186, 342,184,358,166,362,143, 356,140,350,140,344,142};
static const double swimbait_body[] = {26,106, 38,80,90,56,165,53, 255,50,345,72,432,91, 462,96,486,94,503,84, 518,66,548,54,560,76,
  572,104,568,146,548,158, 530,164,514,138,503,121, 480,110,450,114,420,119, 330,140,240,158,160,153, 95,149,42,134,26,106};
static const double swimbait_dorsal[] = {210,56, 226,34,262,30,286,34, 284,46,288,58,300,66, 270,62,240,60,210,56};
static const double swimbait_ventral[] = {286,146, 296,160,316,166,334,164, 332,152,334,144,340,136, 322,140,304,144,286,146};
static const double jerkbait_body[] = {24,101, 60,76,120,63,192,63, 300,63,402,84,470,96, 500,90,538,68,572,52, 562,78,545,92,526,101,
  545,110,562,126,572,150, 538,134,500,112,470,107, 402,121,300,141,192,139, 120,137,60,126,24,101};
static const double stick_body[] = {34,100, 34,80,58,72,100,71, 220,67,330,72,430,82, 500,89,548,93,566,100, 548,108,500,113,430,119,
  330,129,220,133,100,129, 58,128,34,120,34,100};
static const double frog_body[] = {48,120, 54,94,92,70,138,64, 146,44,176,42,188,60, 236,62,284,74,316,94, 340,110,346,128,334,142,
  300,157,196,160,122,152, 80,147,48,138,48,120};
static const double frog_leg[] = {262,106, 316,102,380,124,420,144, 450,152,480,152,505,148, 530,140,560,140,588,148, 576,154,572,160,576,168,
  582,178,572,186,556,184, 536,182,520,174,506,166, 478,170,446,170,412,162, 366,162,306,164,268,154, 252,138,252,120,262,106};
static const double frog_far_leg[] = {256,84, 316,74,380,90,424,98, 456,96,484,88,508,78, 530,64,560,58,588,62, 576,70,574,78,580,86,
  586,96,574,102,558,100, 540,98,524,97,510,95, 480,110,450,118,420,116, 370,118,310,122,262,114, 248,104,248,92,256,84};
static const double frog_arm[] = {138,146, 134,162,118,172,92,176, 116,188,164,182,184,150, 168,142,152,142,138,146};

#define PART(points) {(sizeof points / sizeof *points - 2) / 6, points}
static const dw__bait_outline outlines[DW_OUTLINE_COUNT] = {
    [DW_OUTLINE_CRAWFISH] = {"crawfish", 6, 3, {PART(crawfish_body), PART(crawfish_claw), PART(crawfish_far_claw),
      PART(crawfish_leg_1), PART(crawfish_leg_2), PART(crawfish_leg_3)}, {226, 100, 5},
      "M330,71C352,92 352,122 332,146M388,77C402,96 402,122 390,144M424,86C436,102 436,122 426,141M460,95C470,108 470,122 460,136"
      "M494,102C501,112 501,122 494,131M528,106C538,112 538,120 524,126M544,102C560,112 562,126 556,138"},
    [DW_OUTLINE_SWIMBAIT] = {"swimbait", 3, 1, {PART(swimbait_body), PART(swimbait_dorsal), PART(swimbait_ventral)}, {82, 94, 9},
      "M128,72C144,92 142,118 122,138M28,107C42,108 52,110 62,114"},
    [DW_OUTLINE_JERKBAIT] = {"jerkbait", 1, 1, {PART(jerkbait_body)}, {80, 94, 7}, "M116,78C128,92 128,110 114,124"},
    [DW_OUTLINE_STICK] = {"stick", 1, 1, {PART(stick_body)}, {0, 0, 0},
      "M72,75C64,92 64,108 72,126M84,74C76,92 76,108 84,127M470,87C476,96 476,106 470,115M486,89C492,97 492,106 486,113"},
    [DW_OUTLINE_FROG] = {"frog", 4, 3, {PART(frog_body), PART(frog_leg), PART(frog_far_leg), PART(frog_arm)}, {166, 62, 9},
      "M50,122C82,126 112,124 136,116M262,112C300,108 350,124 400,142M420,146C426,152 426,158 420,163M424,99C430,105 430,111 424,116"},
};
/* clang-format on */

const dw__bait_outline *dw__bait_outline_of(dw_outline which) {
  return &outlines[which];
}

const char *dw_outline_name(dw_outline which) {
  return outlines[which].name;
}

bool dw_outline_find(const char *name, dw_outline *out) {
  for (int i = 0; i < DW_OUTLINE_COUNT; i++) {
    if (strcmp(outlines[i].name, name) != 0) continue;
    *out = (dw_outline)i;
    return true;
  }
  return false;
}

/* ---- found in a photo ------------------------------------------------------------------------------------- */

#define FOUND_LEFT 24.0
#define FOUND_LENGTH 552.0
#define FOUND_HALF_MOST 68.0 /* to either side of the axis */
#define FOUND_MIDDLE 104.0
#define FOUND_ROUND_MOST 20.0

/* Where station i stands on the straight axis, in photo pixels from the head. */
static double along(const dw_bait *bait, size_t i) {
  double sum = 0;
  for (size_t k = 1; k <= i; k++)
    sum += hypot(bait->station[k].x - bait->station[k - 1].x, bait->station[k].y - bait->station[k - 1].y);
  return sum;
}

/* As much as fits, the body's own proportions kept. */
static double scale_of(const dw_bait *bait) {
  double half = 0;
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    const dw_bait_station *s = &bait->station[i];
    half = fmax(half,
                fmax(hypot(s->back_x - s->x, s->back_y - s->y), hypot(s->belly_x - s->x, s->belly_y - s->y)));
  }
  return fmin(FOUND_LENGTH / fmax(along(bait, DW_BAIT_STATIONS - 1), 1e-9),
              FOUND_HALF_MOST / fmax(half, 1e-9));
}

/* A straight stretch, as a curve. */
static void line_to(double *xy, size_t curve, double x, double y) {
  double *c = xy + 2 + 6 * curve;
  const double *from = c - 2;
  for (int k = 0; k < 2; k++) {
    c[2 * k] = from[0] + (x - from[0]) * (k + 1) / 3;
    c[2 * k + 1] = from[1] + (y - from[1]) * (k + 1) / 3;
  }
  c[4] = x, c[5] = y;
}

/* Round, to the right or (-1) left: nose and tail end there as the photo shows them, cut square. */
static void round_to(double *xy, size_t curve, int right, double x, double y) {
  double *c = xy + 2 + 6 * curve;
  const double *from = c - 2, out = right * fmin(0.4 * fabs(y - from[1]), FOUND_ROUND_MOST);
  c[0] = from[0] + out, c[1] = from[1];
  c[2] = x + out, c[3] = y;
  c[4] = x, c[5] = y;
}

const dw__bait_outline *dw__bait_outline_found(const dw_bait *bait, dw__found_outline *out) {
  const double scale = scale_of(bait), length = scale * along(bait, DW_BAIT_STATIONS - 1);
  const double left = FOUND_LEFT + (FOUND_LENGTH - length) / 2;
  for (size_t i = 0; i < DW__FOUND_CURVES; i++) {
    const bool belly =
        i >= DW_BAIT_STATIONS; /* from head to tail along the back, then home along the belly */
    const size_t at = belly ? DW__FOUND_CURVES - 1 - i : i;
    const dw_bait_station *s = &bait->station[at];
    const double half = scale * (belly ? hypot(s->belly_x - s->x, s->belly_y - s->y)
                                       : hypot(s->back_x - s->x, s->back_y - s->y));
    const double x = left + scale * along(bait, at), y = FOUND_MIDDLE + (belly ? half : -half);
    if (i == 0)
      out->xy[0] = x, out->xy[1] = y;
    else if (i == DW_BAIT_STATIONS)
      round_to(out->xy, i - 1, 1, x, y);
    else
      line_to(out->xy, i - 1, x, y);
  }
  round_to(out->xy, DW__FOUND_CURVES - 1, -1, out->xy[0], out->xy[1]);
  out->outline = (dw__bait_outline){
      .name = "found", .n_parts = 1, .n_body = 1, .part = {{DW__FOUND_CURVES, out->xy}}, .creases = ""};
  return &out->outline;
}

/* ---- path and profile -------------------------------------------------------------------------------------
 */

void dw__bait_part_path(const dw__outline_part *part, dw_text *out) {
  const double *xy = part->xy;
  dw_text_add(out, "<path d=\"M%.0f,%.0f", xy[0], xy[1]);
  for (size_t i = 0; i < part->n; i++) {
    const double *c = xy + 2 + 6 * i;
    dw_text_add(out, "C%.0f,%.0f %.0f,%.0f %.0f,%.0f", c[0], c[1], c[2], c[3], c[4], c[5]);
  }
  dw_text_add(out, "Z\"/>");
}

static double bezier(double a, double b, double c, double d, double t) {
  const double u = 1 - t;
  return u * u * u * a + 3 * u * u * t * b + 3 * u * t * t * c + t * t * t * d;
}

static void widen(dw__profile *profile, double x, double y) {
  const long i = lround(x * (DW__PROFILE_POINTS - 1) / DW__BAIT_WIDTH);
  if (i < 0 || i >= DW__PROFILE_POINTS) return;
  profile->top[i] = fmin(profile->top[i], y);
  profile->bottom[i] = fmax(profile->bottom[i], y);
}

void dw__bait_part_at(const dw__outline_part *part, size_t curve, int sample, double xy[2]) {
  const double *from = part->xy + 6 * curve, *c = from + 2;
  const double t = sample / (double)DW__PART_SAMPLES;
  xy[0] = bezier(from[0], c[0], c[2], c[4], t);
  xy[1] = bezier(from[1], c[1], c[3], c[5], t);
}

static void widen_by_part(dw__profile *profile, const dw__outline_part *part) {
  for (size_t i = 0; i < part->n; i++)
    for (int k = 0; k <= DW__PART_SAMPLES; k++) {
      double xy[2];
      dw__bait_part_at(part, i, k, xy);
      widen(profile, xy[0], xy[1]);
    }
}

/* Beyond nose and tail the profile goes on as it ends. */
static void continue_ends(dw__profile *profile) {
  int first = 0, last = DW__PROFILE_POINTS - 1;
  while (isinf(profile->top[first])) first++;
  while (isinf(profile->top[last])) last--;
  for (int i = 0; i < DW__PROFILE_POINTS; i++) {
    const int from = i < first ? first : i > last ? last : i;
    profile->top[i] = profile->top[from];
    profile->bottom[i] = profile->bottom[from];
  }
}

/* Mean over the neighborhood, and never so slim that its layers run together. */
static void smooth(dw__profile *profile) {
  enum { REACH = 3 };
  const double least_half = 16;
  dw__profile rough = *profile;
  for (int i = 0; i < DW__PROFILE_POINTS; i++) {
    double top = 0, bottom = 0, n = 0;
    for (int k = i - REACH; k <= i + REACH; k++) {
      if (k < 0 || k >= DW__PROFILE_POINTS) continue;
      top += rough.top[k], bottom += rough.bottom[k], n++;
    }
    const double middle = (top + bottom) / (2 * n), half = fmax((bottom - top) / (2 * n), least_half);
    profile->top[i] = middle - half;
    profile->bottom[i] = middle + half;
  }
}

void dw__bait_profile(const dw__bait_outline *outline, dw__profile *out) {
  for (int i = 0; i < DW__PROFILE_POINTS; i++) out->top[i] = INFINITY, out->bottom[i] = -INFINITY;
  for (size_t p = 0; p < outline->n_body; p++) widen_by_part(out, &outline->part[p]);
  continue_ends(out);
  smooth(out);
}
