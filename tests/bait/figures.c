#include "figures.h"

#include "dropwise/bait.h"
#include "jpeg.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct judge {
  const board *b;
  board_truth truth;
  dw_patch photo;
  dw_light *light;
  dw_baits baits;
  int verbose;
  figures *to;
  bool found[BOARD_BAITS_MAX];
} judge;

double figures_mean(const double *v, size_t n) {
  double sum = 0;
  for (size_t i = 0; i < n; i++) sum += v[i];
  return n ? sum / (double)n : 0;
}

static int rising(const void *a, const void *b) {
  double p = *(const double *)a, q = *(const double *)b;
  return (p > q) - (p < q);
}

double figures_median(const double *v, size_t n) {
  double *copy = malloc((n + 1) * sizeof *copy), out = 0;
  if (n && copy) {
    memcpy(copy, v, n * sizeof *copy);
    qsort(copy, n, sizeof *copy, rising);
    out = copy[n / 2];
  }
  free(copy);
  return out;
}

void figures_join(figures *to, const figures *from) {
  memcpy(to->border + to->borders, from->border, from->borders * sizeof *to->border);
  memcpy(to->color + to->colors, from->color, from->colors * sizeof *to->color);
  memcpy(to->overlap + to->counted, from->overlap, from->counted * sizeof *to->overlap);
  to->boards += from->boards, to->baits += from->baits, to->found += from->found, to->in_one += from->in_one;
  to->invented += from->invented, to->counted += from->counted, to->right += from->right;
  to->borders += from->borders, to->colors += from->colors;
}

void figures_print(const char *title, const figures *f) {
  printf(
      "%-12s boards %3zu  baits %4zu  found %5.1f%% (%zu as one)  invented %zu  layers right %5.1f%% of %zu  "
      "border median %.3f mean %.3f  color mean %.2f median %.2f  overlap %.3f\n",
      title, f->boards, f->baits, f->baits ? 100.0 * (double)f->found / (double)f->baits : 0, f->in_one,
      f->invented, f->counted ? 100.0 * (double)f->right / (double)f->counted : 0, f->counted,
      figures_median(f->border, f->borders), figures_mean(f->border, f->borders),
      figures_mean(f->color, f->colors), figures_median(f->color, f->colors),
      figures_mean(f->overlap, f->counted));
}

/* Patch pixel to the truth's index. */
static size_t truth_at(const judge *j, int x, int y) {
  return (size_t)(j->photo.rect.y + y * j->photo.step) * (size_t)j->b->width +
         (size_t)(j->photo.rect.x + x * j->photo.step);
}

static dw_shape outline_of(const dw_bait *bait) {
  dw_shape s = {.kind = DW_SHAPE_POLY, .n = 2 * DW_BAIT_STATIONS};
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    size_t back = 2 * DW_BAIT_STATIONS - 1 - i;
    s.xy[2 * i] = bait->station[i].back_x, s.xy[2 * i + 1] = bait->station[i].back_y;
    s.xy[2 * back] = bait->station[i].belly_x, s.xy[2 * back + 1] = bait->station[i].belly_y;
  }
  return s;
}

/* Which true baits the outline covers, pixels of each; index 0 none. */
static void covered(const judge *j, const dw_bait *bait, size_t count[BOARD_BAITS_MAX + 1]) {
  dw_shape s = outline_of(bait);
  dw_rect all = {0, 0, j->b->width, j->b->height};
  uint8_t *mask = malloc((size_t)all.w * (size_t)all.h);
  memset(count, 0, (BOARD_BAITS_MAX + 1) * sizeof *count);
  dw_shape_mask(&s, &all, mask);
  for (size_t i = 0; i < (size_t)all.w * (size_t)all.h; i++)
    if (mask[i]) count[j->truth.along[i] >= 0 ? j->truth.bait[i] : 0]++;
  free(mask);
}

static size_t body_pixels(const judge *j, int bait) {
  size_t n = 0;
  for (size_t i = 0; i < (size_t)j->b->width * (size_t)j->b->height; i++)
    n += j->truth.bait[i] == bait + 1 && j->truth.along[i] >= 0;
  return n;
}

/* The color along true borders: the pure pixels of the layer's middle part, as marked areas are read. */
static int true_color(const judge *j, int bait, int layer, dw_lab *out) {
  int w = j->photo.rect.w, h = j->photo.rect.h, x0 = w, y0 = h, x1 = 0, y1 = 0;
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++)
      if (j->truth.bait[truth_at(j, x, y)] == bait + 1) {
        x0 = x < x0 ? x : x0, x1 = x > x1 ? x : x1, y0 = y < y0 ? y : y0, y1 = y > y1 ? y : y1;
      }
  size_t bw = (size_t)(x1 - x0 + 1), bh = (size_t)(y1 - y0 + 1);
  dw_patch part = {
      .rect = {j->photo.rect.x + x0 * j->photo.step, j->photo.rect.y + y0 * j->photo.step, (int)bw, (int)bh},
      .step = j->photo.step};
  part.rgb = malloc(3 * bw * bh * sizeof(float));
  part.clip = malloc(bw * bh);
  uint8_t *mask = malloc(bw * bh);
  for (size_t y = 0; y < bh; y++)
    for (size_t x = 0; x < bw; x++) {
      size_t from = ((size_t)y0 + y) * (size_t)w + (size_t)x0 + x, to = y * bw + x,
             at = truth_at(j, x0 + (int)x, y0 + (int)y);
      memcpy(part.rgb + 3 * to, j->photo.rgb + 3 * from, 3 * sizeof(float));
      part.clip[to] = j->photo.clip[from];
      mask[to] = j->truth.bait[at] == bait + 1 && j->truth.layer[at] == layer + 1 &&
                 j->truth.along[at] > .1f && j->truth.along[at] < .8f && j->truth.across[at] > .1f &&
                 j->truth.across[at] < .9f;
    }
  dw_reading reading;
  int failed = dw_region_measure(&part, mask, j->light, &reading, NULL, NULL) != DW_OK;
  if (!failed) *out = reading.lab;
  free(part.rgb);
  free(part.clip);
  free(mask);
  return failed;
}

/* True where the reported bait has its back on the true one's belly. */
static bool is_turned(const judge *j, const dw_bait *bait) {
  double sum = 0;
  for (size_t i = DW_BAIT_STATIONS / 4; i < DW_BAIT_STATIONS * 3 / 4; i++) {
    const dw_bait_station *s = &bait->station[i];
    for (int side = 0; side < 2; side++) {
      double share = side ? .75 : .25;
      int x = (int)(s->back_x + share * (s->belly_x - s->back_x)),
          y = (int)(s->back_y + share * (s->belly_y - s->back_y));
      size_t at = (size_t)y * (size_t)j->b->width + (size_t)x;
      if (j->truth.along[at] >= 0) sum += (side ? 1 : -1) * ((double)j->truth.across[at] - .5);
    }
  }
  return sum < 0;
}

static void layers_judge(judge *j, const dw_bait *bait, int which, double overlap) {
  const body *b = &j->b->bait[which];
  figures *f = j->to;
  size_t n = (size_t)b->layers;
  bool turned = is_turned(j, bait);
  f->overlap[f->counted++] = overlap;
  f->right += bait->n == n;
  if (j->verbose)
    printf("  %-8s bait %d at %d,%d %dx%d bend %.0f: layers %zu of %zu, overlap %.3f%s",
           body_kind_words[b->kind], which, bait->box.x, bait->box.y, bait->box.w, bait->box.h,
           bait->bend_deg, bait->n, n, overlap, turned ? ", turned" : "");
  for (size_t k = 0; k + 1 < n && bait->n == n; k++) {
    double at = turned ? 1 - bait->blend[n - 2 - k].at : bait->blend[k].at, off = at - body_border(b, (int)k);
    f->border[f->borders++] = fabs(off);
    if (j->verbose) printf("  border %+.3f (half %.2f)", off, b->blend[k]);
  }
  for (size_t l = 0; l < n && bait->n == n; l++) {
    dw_lab truth;
    if (true_color(j, which, (int)l, &truth)) continue;
    double off = dw_de00(bait->layer[turned ? n - 1 - l : l].reading.lab, truth);
    f->color[f->colors++] = off;
    if (j->verbose) printf("  color %.2f", off);
  }
  if (j->verbose && bait->n != n) {
    for (size_t k = 0; k + 1 < n; k++)
      printf("  true border %.3f half %.3f", body_border(b, (int)k), b->blend[k]);
    for (size_t k = 0; k + 1 < bait->n; k++)
      printf("  found %.3f width %.3f", bait->blend[k].at, bait->blend[k].width_share);
    for (size_t k = 0; k < bait->n; k++)
      printf("  (%.0f %.0f %.0f)", bait->layer[k].reading.lab.L, bait->layer[k].reading.lab.a,
             bait->layer[k].reading.lab.b);
  }
  if (j->verbose) printf("\n");
}

static void bait_judge(judge *j, const dw_bait *bait) {
  size_t count[BOARD_BAITS_MAX + 1], all = 0;
  int most = 0, holds = 0;
  covered(j, bait, count);
  for (int i = 0; i <= j->b->n; i++) all += count[i];
  for (int i = 1; i <= j->b->n; i++) {
    if (2 * count[i] < body_pixels(j, i - 1)) continue;
    holds++;
    if (!most || count[i] > count[most]) most = i;
  }
  if (!holds || 2 * count[0] > all) {
    j->to->invented++;
    if (j->verbose) printf("  INVENTED at %d,%d %dx%d\n", bait->box.x, bait->box.y, bait->box.w, bait->box.h);
    return;
  }
  for (int i = 1; i <= j->b->n; i++) {
    if (2 * count[i] < body_pixels(j, i - 1) || j->found[i - 1]) continue;
    j->found[i - 1] = true;
    j->to->found++;
    j->to->in_one += holds > 1;
  }
  if (holds > 1) return;
  layers_judge(j, bait, most - 1,
               (double)count[most] / (double)(all + body_pixels(j, most - 1) - count[most]));
}

static int photo_read(judge *j, const char *path, dw_arena *arena) {
  dw_photo *photo = NULL;
  dw_error err;
  dw_preview view;
  dw_bait_rules rules = {.has_card = j->b->has_card && j->b->seed % 2};
  board_card_corners(j->b, rules.card.xy);
  dw_status status = dw_photo_open(path, NULL, &photo, &err);
  if (status == DW_OK) {
    const dw_photo_info *info = dw_photo_info_get(photo);
    status = dw_photo_patch_thinned(photo, (dw_rect){0, 0, info->width, info->height},
                                    info->width > 2400 ? 2 : 1, arena, &j->photo, &err);
    if (status == DW_OK)
      status = dw_photo_preview(photo, dw_bait_view_side(info->width, info->height), arena, &view, &err);
  }
  if (status == DW_OK) status = dw_light_none(&j->light, &err);
  if (status == DW_OK) status = dw_baits_find_in(photo, &view, &rules, j->light, arena, &j->baits, &err);
  if (status != DW_OK) fprintf(stderr, "%s\n", err.text);
  dw_photo_close(photo);
  return status != DW_OK;
}

int figures_add(const board *b, int verbose, figures *to) {
  judge j = {.b = b, .verbose = verbose, .to = to};
  char path[64] = "/tmp/dropwise-board-XXXXXX";
  uint8_t *rgb = malloc((size_t)b->width * (size_t)b->height * 3);
  dw_arena *arena = dw_arena_new(0);
  int file = mkstemp(path);
  int failed = !rgb || !arena || file < 0 || board_render(b, rgb, &j.truth) ||
               jpeg_save(path, rgb, b->width, b->height, b->quality, 1) || photo_read(&j, path, arena);
  if (!failed) {
    if (verbose)
      printf("board %u: %s, %s, %d baits of which %zu reported, quality %d%s\n", b->seed,
             board_color_words[b->color], light_words(b->light), b->n, j.baits.n, b->quality,
             b->has_card ? ", card" : "");
    for (size_t i = 0; i < j.baits.n; i++) bait_judge(&j, &j.baits.bait[i]);
    for (int i = 0; i < b->n; i++)
      if (!j.found[i] && verbose)
        printf("  MISSED %s bait %d at %.0f,%.0f length %.0f\n", body_kind_words[b->bait[i].kind], i,
               b->bait[i].x / b->mm, b->bait[i].y / b->mm, b->bait[i].length / b->mm);
    for (size_t i = 0; i < j.baits.notes.n && verbose; i++) printf("  note: %s\n", j.baits.notes.text[i]);
    to->boards++;
    to->baits += (size_t)b->n;
  }
  if (file >= 0) close(file), unlink(path);
  dw_light_free(j.light);
  board_truth_free(&j.truth);
  dw_arena_free(arena);
  free(rgb);
  return failed;
}
