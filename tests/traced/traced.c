#include "traced.h"
#include "picture.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS = 64, IDS = 64 };
_Static_assert(TRACED_TROUBLES <= (int)TROUBLE_KINDS, "room in figures by trouble");
const char *const traced_words[TRACED_TROUBLES] = {
    "sun",         "lamp",       "window", "two",  "dome", /* lights */
    "alike",       "thin-layer", /* two layers that differ little; one below a seventh */
    "see-through", "flake",      "ribs",   "bent", "glossy"};

/* Layers from back to belly: the share of each at equal steps. */
typedef struct across {
  float share[LAYERS_MAX][STEPS + 1];
} across;

static unsigned trouble_of(const char *words) {
  unsigned out = 0;
  for (int i = 0; i < TRACED_TROUBLES; i++)
    for (const char *at = words; (at = strstr(at, traced_words[i])); at++) out |= 1u << i;
  return out;
}

static int doubles_read(FILE *f, const char *word, double *v, int n) {
  char got[16];
  int failed = fscanf(f, "%15s", got) != 1 || strcmp(got, word) != 0;
  for (int i = 0; i < n && !failed; i++) failed = fscanf(f, "%lf", &v[i]) != 1;
  return failed;
}

/* The kind is kept by the caller as long as the board. */
static int bait_read(FILE *f, char kind[16], judged_bait *to, across *layers) {
  char words[64];
  if (fscanf(f, " bait %15s %d %63s", kind, &to->layers, words) != 3 || to->layers < 1 ||
      to->layers > LAYERS_MAX)
    return 1;
  to->kind = kind;
  to->trouble = trouble_of(words);
  int failed = doubles_read(f, "borders", to->border, to->layers - 1) ||
               doubles_read(f, "blends", to->blend, to->layers - 1);
  for (int l = 0; l < to->layers && !failed; l++) {
    double share[STEPS + 1];
    failed = doubles_read(f, "weights", share, STEPS + 1);
    for (int i = 0; i <= STEPS && !failed; i++) layers->share[l][i] = (float)share[i];
  }
  return failed;
}

static int text_read(const char *path, int seed, judged_board *out, across *layers) {
  static char kind[BOARD_BAITS_MAX][16];
  char light[16], ground[16], card[16];
  int quality;
  FILE *f = fopen(path, "r");
  if (!f) return 1;
  int failed = fscanf(f, " board %d %d %d %15s %15s %d card %15s", &out->width, &out->height, &out->n, light,
                      ground, &quality, card) != 7 ||
               out->n < 0 || out->n > BOARD_BAITS_MAX;
  if (!failed && strcmp(card, "none") != 0) {
    out->has_card = true;
    failed = doubles_read(f, "corners", out->corners, 8);
  }
  for (int i = 0; i < out->n && !failed; i++) failed = bait_read(f, kind[i], &out->bait[i], &layers[i]);
  fclose(f);
  if (failed) return 1;
  out->trouble = trouble_of(light);
  out->trouble_words = traced_words;
  snprintf(out->title, sizeof out->title, "%d: %s, %s, quality %d", seed, ground, light, quality);
  return 0;
}

/* One pixel of the truth: how far along, across, and what it is. */
static void pixel_read(const uint16_t *rgb, const judged_board *b, const across *layers, size_t i,
                       board_truth *truth) {
  int id = (int)lround(rgb[2] * (double)IDS / 65535), bait = id / 2;
  truth->along[i] = -1;
  if (bait < 1 || bait > b->n) return;
  truth->bait[i] = (uint8_t)bait;
  if (id % 2) return;
  truth->along[i] = fminf(fmaxf(((float)rgb[0] / 65535 - .1f) / .8f, 0), 1);
  truth->across[i] = fminf(fmaxf(((float)rgb[1] / 65535 - .1f) / .8f, 0), 1);
  float at = truth->across[i] * STEPS;
  int k = (int)fminf(at, STEPS - 1);
  for (int l = 0; l < b->bait[bait - 1].layers; l++) {
    const float *s = layers[bait - 1].share[l];
    float share = s[k] + (at - (float)k) * (s[k + 1] - s[k]);
    if (share > truth->share[i]) truth->share[i] = share, truth->layer[i] = (uint8_t)(l + 1);
  }
}

/* The truth's picture may be smaller than the photo. */
static int truth_read(const char *path, const across *layers, judged_board *out) {
  int w = 0, h = 0;
  size_t n = (size_t)out->width * (size_t)out->height;
  uint16_t *rgb = picture16_read(path, &w, &h);
  board_truth *t = &out->truth;
  *t = (board_truth){calloc(n, 1), calloc(n, 1), calloc(n, sizeof(float)), calloc(n, sizeof(float)),
                     calloc(n, sizeof(float))};
  int failed = !rgb || !t->bait || !t->layer || !t->share || !t->along || !t->across;
  for (int y = 0; y < out->height && !failed; y++)
    for (int x = 0; x < out->width; x++) {
      size_t from = (size_t)(y * h / out->height) * (size_t)w + (size_t)(x * w / out->width);
      pixel_read(rgb + 3 * from, out, layers, (size_t)y * (size_t)out->width + (size_t)x, t);
    }
  free(rgb);
  return failed;
}

int traced_read(const char *folder, int seed, char path[512], judged_board *out) {
  static across layers[BOARD_BAITS_MAX];
  *out = (judged_board){.path = path};
  snprintf(path, 512, "%s/%d.txt", folder, seed);
  int failed = text_read(path, seed, out, layers);
  if (!failed) {
    snprintf(path, 512, "%s/%d.png", folder, seed);
    failed = truth_read(path, layers, out);
  }
  if (failed) fprintf(stderr, "%s cannot be read; render the board again with boards.py\n", path);
  snprintf(path, 512, "%s/%d.jpg", folder, seed);
  return failed;
}

int traced_judge(const char *folder, int first, int last, int verbose, figures *all,
                 figures by[TROUBLE_KINDS]) {
  static judged_board one;
  char path[512];
  for (int seed = first; seed <= last; seed++) {
    int failed = traced_read(folder, seed, path, &one) || figures_judge(&one, verbose, all, by);
    board_truth_free(&one.truth);
    if (failed) return 1;
  }
  return 0;
}

void traced_print(const char *title, const figures *all, const figures by[TROUBLE_KINDS]) {
  for (int k = 0; k < TRACED_TROUBLES; k++)
    if (by[k].baits) figures_print(traced_words[k], &by[k]);
  figures_print(title, all);
}
