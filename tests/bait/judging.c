/* What was found in a photo of a board, judged by what is true there. */
#include "figures.h"

#include "dropwise/read_find.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct judge {
  const judged_board *b;
  dw_patch photo;
  dw_light *light; /* by the card as it truly lies */
  dw_found *out;
  int verbose;
  figures *to, *by;
  size_t pixels[BOARD_BAITS_MAX]; /* of each body */
  int box[BOARD_BAITS_MAX][4];    /* x0, y0, x1, y1 of each bait, places of the patch */
  bool found[BOARD_BAITS_MAX];
} judge;

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
  double low[2] = {INFINITY, INFINITY}, high[2] = {0, 0};
  for (size_t i = 0; i < 2 * s.n; i++)
    low[i % 2] = fmin(low[i % 2], s.xy[i]), high[i % 2] = fmax(high[i % 2], s.xy[i]);
  int x0 = (int)fmax(low[0] - 1, 0), y0 = (int)fmax(low[1] - 1, 0);
  dw_rect part = {x0, y0, (int)fmin(high[0] + 2, j->b->width) - x0,
                  (int)fmin(high[1] + 2, j->b->height) - y0};
  uint8_t *mask = malloc((size_t)part.w * (size_t)part.h);
  memset(count, 0, (BOARD_BAITS_MAX + 1) * sizeof *count);
  dw_shape_mask(&s, &part, mask);
  for (int y = 0; y < part.h; y++)
    for (int x = 0; x < part.w; x++) {
      size_t i = (size_t)(part.y + y) * (size_t)j->b->width + (size_t)(part.x + x);
      if (mask[(size_t)y * (size_t)part.w + (size_t)x])
        count[j->b->truth.along[i] >= 0 ? j->b->truth.bait[i] : 0]++;
    }
  free(mask);
}

static void bodies_measure(judge *j) {
  for (size_t i = 0; i < (size_t)j->b->width * (size_t)j->b->height; i++)
    if (j->b->truth.along[i] >= 0) j->pixels[j->b->truth.bait[i] - 1]++;
  for (int i = 0; i < j->b->n; i++) j->box[i][0] = j->photo.rect.w, j->box[i][1] = j->photo.rect.h;
  for (int y = 0; y < j->photo.rect.h; y++)
    for (int x = 0; x < j->photo.rect.w; x++) {
      int bait = j->b->truth.bait[truth_at(j, x, y)], *box = j->box[bait ? bait - 1 : 0];
      if (!bait) continue;
      box[0] = x < box[0] ? x : box[0], box[1] = y < box[1] ? y : box[1];
      box[2] = x > box[2] ? x : box[2], box[3] = y > box[3] ? y : box[3];
    }
}

/* ---- colors -------------------------------------------------------------------------------------------- */

/* The pixels of the photo that a rectangle of it holds, as a patch of its own with a mask. */
typedef struct part {
  dw_patch patch;
  uint8_t *mask;
  int x0, y0; /* in the photo's patch */
} part;

static part part_new(const judge *j, int x0, int y0, int x1, int y1) {
  part p = {.x0 = x0, .y0 = y0};
  int w = x1 - x0 + 1, h = y1 - y0 + 1, step = dw_patch_step(&j->photo);
  p.patch =
      (dw_patch){.rect = {j->photo.rect.x + x0 * step, j->photo.rect.y + y0 * step, w, h}, .step = step};
  p.patch.rgb = malloc(3 * (size_t)w * (size_t)h * sizeof(float));
  p.patch.clip = malloc((size_t)w * (size_t)h);
  p.mask = calloc((size_t)w, (size_t)h);
  for (int y = 0; y < h; y++) {
    size_t from = (size_t)(y0 + y) * (size_t)j->photo.rect.w + (size_t)x0, to = (size_t)y * (size_t)w;
    memcpy(p.patch.rgb + 3 * to, j->photo.rgb + 3 * from, 3 * (size_t)w * sizeof(float));
    memcpy(p.patch.clip + to, j->photo.clip + from, (size_t)w);
  }
  return p;
}

static void part_free(part *p) {
  free(p->patch.rgb);
  free(p->patch.clip);
  free(p->mask);
}

/* Nonzero where too little is marked. */
static int part_color(const judge *j, part *p, dw_lab *out) {
  dw_reading reading;
  int failed = dw_region_measure(&p->patch, p->mask, j->light, &reading, NULL, NULL) != DW_OK;
  if (!failed) *out = reading.lab;
  return failed;
}

/* Marks the layer's middle part where it is at least so pure; how many pixels. */
static size_t pure_mark(const judge *j, part *p, int bait, int layer, float share) {
  size_t n = 0;
  for (int y = 0; y < p->patch.rect.h; y++)
    for (int x = 0; x < p->patch.rect.w; x++) {
      size_t at = truth_at(j, p->x0 + x, p->y0 + y), i = (size_t)y * (size_t)p->patch.rect.w + (size_t)x;
      p->mask[i] = j->b->truth.bait[at] == bait + 1 && j->b->truth.layer[at] == layer + 1 &&
                   j->b->truth.share[at] > share && j->b->truth.along[at] > .1f &&
                   j->b->truth.along[at] < .8f && j->b->truth.across[at] > .1f &&
                   j->b->truth.across[at] < .9f;
      n += p->mask[i];
    }
  return n;
}

/* The color along true borders: the purest pixels of the layer's middle part, as marked areas are read. */
static int true_color(const judge *j, int bait, int layer, dw_lab *out) {
  static const float share[] = {.97f, .94f, .9f, .8f, .7f};
  const int *box = j->box[bait];
  part p = part_new(j, box[0], box[1], box[2], box[3]);
  size_t step = (size_t)dw_patch_step(&j->photo), least = j->pixels[bait] / 50 / step / step, n = 0;
  for (size_t i = 0; i < sizeof share / sizeof *share && (n < 80 || n < least); i++)
    n = pure_mark(j, &p, bait, layer, share[i]);
  int failed = part_color(j, &p, out);
  part_free(&p);
  return failed;
}

/* A band that was found, by the true card's light. */
static int band_color(const judge *j, const dw_shape *band, dw_lab *out) {
  dw_shape in = *band;
  double low[2] = {INFINITY, INFINITY}, high[2] = {0, 0}, step = dw_patch_step(&j->photo);
  for (size_t i = 0; i < 2 * in.n; i++) {
    in.xy[i] = (in.xy[i] + .5) / step - .5;
    low[i % 2] = fmin(low[i % 2], in.xy[i]), high[i % 2] = fmax(high[i % 2], in.xy[i]);
  }
  part p = part_new(j, (int)fmax(low[0] - 1, 0), (int)fmax(low[1] - 1, 0),
                    (int)fmin(high[0] + 2, j->photo.rect.w - 1), (int)fmin(high[1] + 2, j->photo.rect.h - 1));
  for (size_t i = 0; i < 2 * in.n; i++) in.xy[i] -= i % 2 ? p.y0 : p.x0;
  dw_shape_mask(&in, &(dw_rect){0, 0, p.patch.rect.w, p.patch.rect.h}, p.mask);
  int failed = part_color(j, &p, out);
  part_free(&p);
  return failed;
}

/* ---- one bait ------------------------------------------------------------------------------------------ */

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
      if (j->b->truth.along[at] >= 0) sum += (side ? 1 : -1) * ((double)j->b->truth.across[at] - .5);
    }
  }
  return sum < 0;
}

static void color_judge(const judge *j, const dw_bait_layer *layer, int which, int l, figures *f) {
  dw_lab truth, band;
  if (true_color(j, which, l, &truth) || band_color(j, &layer->band, &band)) return;
  double off = dw_de00(layer->reading.lab, truth);
  f->band[f->colors] = dw_de00(band, truth);
  f->card[f->colors] = dw_de00(band, layer->reading.lab);
  if (j->verbose) printf("  color %.2f (band %.2f card %.2f)", off, f->band[f->colors], f->card[f->colors]);
  if (j->verbose && off > 1)
    printf(" {kept %.2f gloss %.2f shadow %.2f flake %.2f; %.1f %.1f %.1f true %.1f %.1f %.1f}",
           layer->reading.shares.kept, layer->reading.shares.gloss, layer->reading.shares.shadow,
           layer->reading.shares.flake, layer->reading.lab.L, layer->reading.lab.a, layer->reading.lab.b,
           truth.L, truth.a, truth.b);
  f->color[f->colors++] = off;
}

static void wrong_number_print(const judge *j, const dw_bait *bait, int which) {
  const judged_bait *b = &j->b->bait[which];
  for (int k = 0; k + 1 < b->layers; k++) printf("  true border %.3f half %.3f", b->border[k], b->blend[k]);
  for (size_t k = 0; k + 1 < bait->n; k++)
    printf("  found %.3f width %.3f", bait->blend[k].at, bait->blend[k].width_share);
  for (size_t k = 0; k < bait->n; k++)
    printf("  (%.0f %.0f %.0f)", bait->layer[k].reading.lab.L, bait->layer[k].reading.lab.a,
           bait->layer[k].reading.lab.b);
  printf("  truly");
  for (int l = 0; l < b->layers; l++) {
    dw_lab lab;
    if (!true_color(j, which, l, &lab)) printf(" (%.0f %.0f %.0f)", lab.L, lab.a, lab.b);
  }
}

static void layers_judge(const judge *j, const dw_bait *bait, int which, double overlap, figures *f) {
  const judged_bait *b = &j->b->bait[which];
  size_t n = (size_t)b->layers;
  bool turned = is_turned(j, bait);
  f->overlap[f->counted++] = overlap;
  f->right += bait->n == n;
  if (j->verbose)
    printf("  %-8s bait %d at %d,%d %dx%d height %.0f bend %.0f: layers %zu of %zu, overlap %.3f%s", b->kind,
           which, bait->box.x, bait->box.y, bait->box.w, bait->box.h, bait->height, bait->bend_deg, bait->n,
           n, overlap, turned ? ", turned" : "");
  for (size_t k = 0; k + 1 < n && bait->n == n; k++) {
    double at = turned ? 1 - bait->blend[n - 2 - k].at : bait->blend[k].at, off = at - b->border[k];
    f->border[f->borders++] = fabs(off);
    if (j->verbose)
      printf("  border %+.3f (half %.2f, width %.2f)", off, b->blend[k],
             bait->blend[turned ? n - 2 - k : k].width_share);
  }
  for (size_t l = 0; l < n && bait->n == n; l++)
    color_judge(j, &bait->layer[turned ? n - 1 - l : l], which, (int)l, f);
  if (j->verbose && bait->n != n) wrong_number_print(j, bait, which);
  if (j->verbose) {
    for (int k = 0; k < TROUBLE_KINDS; k++)
      if ((b->trouble | j->b->trouble) >> k & 1) printf("; %s", j->b->trouble_words[k]);
    printf("\n");
  }
}

/* Adds what one bait showed to all, and to each of its troubles. */
static void note(const judge *j, unsigned trouble, const figures *one) {
  figures_join(j->to, one);
  for (int k = 0; k < TROUBLE_KINDS && j->by; k++)
    if (trouble >> k & 1) figures_join(&j->by[k], one);
}

static void bait_judge(judge *j, const dw_bait *bait) {
  static figures one;
  size_t count[BOARD_BAITS_MAX + 1], all = 0;
  int most = 0, holds = 0;
  one = (figures){0};
  covered(j, bait, count);
  for (int i = 0; i <= j->b->n; i++) all += count[i];
  for (int i = 1; i <= j->b->n; i++) {
    if (2 * count[i] < j->pixels[i - 1]) continue;
    holds++;
    if (!most || count[i] > count[most]) most = i;
  }
  if (!holds || 2 * count[0] > all) {
    if (j->verbose) printf("  INVENTED at %d,%d %dx%d\n", bait->box.x, bait->box.y, bait->box.w, bait->box.h);
    one.invented = 1;
    note(j, j->b->trouble, &one);
    return;
  }
  for (int i = 1; i <= j->b->n; i++) {
    if (2 * count[i] < j->pixels[i - 1] || j->found[i - 1]) continue;
    j->found[i - 1] = true;
    one = (figures){.found = 1, .in_one = holds > 1};
    note(j, j->b->trouble | j->b->bait[i - 1].trouble, &one);
  }
  if (holds > 1) return;
  one = (figures){0};
  layers_judge(j, bait, most - 1, (double)count[most] / (double)(all + j->pixels[most - 1] - count[most]),
               &one);
  note(j, j->b->trouble | j->b->bait[most - 1].trouble, &one);
}

/* ---- one board ----------------------------------------------------------------------------------------- */

/* The light by the card's true corners, or none where there is no card or it can't be believed there. */
static dw_status light_make(const judge *j, dw_photo *photo, dw_light **out, dw_error *err) {
  dw_marks *marks = calloc(1, sizeof *marks);
  dw_status status = dw_marks_set_card(marks, "grid24", err);
  marks->method = DW_LIGHT_CARD;
  memcpy(marks->corners.xy, j->b->corners, sizeof j->b->corners);
  if (status == DW_OK && j->b->has_card)
    status = dw_flow_light(photo, marks, dw_photo_limits_default().max_bytes, out, NULL);
  if (!j->b->has_card || status != DW_OK) status = dw_light_none(out, err);
  free(marks);
  return status;
}

static int photo_read(judge *j, dw_arena *arena) {
  const char *path = j->b->path;
  dw_photo *photo = NULL;
  dw_error err;
  dw_bait_rules rules = {0};
  dw_status status = dw_photo_open(path, NULL, &photo, &err);
  if (status == DW_OK) {
    const dw_photo_info *info = dw_photo_info_get(photo);
    status = dw_photo_patch_thinned(photo, (dw_rect){0, 0, info->width, info->height},
                                    info->width > 2400 ? 2 : 1, arena, &j->photo, &err);
  }
  if (status == DW_OK) status = light_make(j, photo, &j->light, &err);
  if (status == DW_OK)
    status = dw_find_read(path, &(dw_find_wish){.card_set = "grid24", .rules = rules}, arena, j->out, &err);
  if (status != DW_OK) fprintf(stderr, "%s\n", err.text);
  dw_photo_close(photo);
  return status != DW_OK;
}

/* Where the bait lies: its middle in the photo. */
static void missed_print(const judge *j, int bait) {
  const int *box = j->box[bait], step = dw_patch_step(&j->photo);
  printf("  MISSED %s bait %d at %d,%d, %d x %d\n", j->b->bait[bait].kind, bait, (box[0] + box[2]) / 2 * step,
         (box[1] + box[3]) / 2 * step, (box[2] - box[0]) * step, (box[3] - box[1]) * step);
}

static void board_judge(judge *j) {
  static figures one;
  const judged_board *b = j->b;
  if (j->verbose)
    printf("board %s, %dx%d, %d baits of which %zu reported%s\n", b->title, b->width, b->height, b->n,
           j->out->baits.n,
           !b->has_card                  ? ""
           : j->out->reading.has_corners ? ", card"
                                         : ", CARD MISSED");
  bodies_measure(j);
  for (size_t i = 0; i < j->out->baits.n; i++) bait_judge(j, &j->out->baits.bait[i]);
  for (int i = 0; i < b->n; i++) {
    one = (figures){.baits = 1};
    note(j, b->trouble | b->bait[i].trouble, &one);
    if (!j->found[i] && j->verbose) missed_print(j, i);
  }
  for (size_t i = 0; i < j->out->baits.notes.n && j->verbose; i++)
    printf("  note: %s\n", j->out->baits.notes.text[i]);
  j->to->boards++;
}

int figures_judge(const judged_board *b, int verbose, figures *to, figures *by) {
  judge j = {.b = b, .verbose = verbose, .to = to, .by = by, .out = calloc(1, sizeof *j.out)};
  dw_arena *arena = dw_arena_new(0);
  int failed = !arena || !j.out || photo_read(&j, arena);
  if (!failed) board_judge(&j);
  dw_light_free(j.light);
  dw_arena_free(arena);
  free(j.out);
  return failed;
}
