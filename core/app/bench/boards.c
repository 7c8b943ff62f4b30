#include "app/bench/boards.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* A mark nearer than this to the board beside it reads the board: baits are found from 8 on. */
#define BOARD_NEAR_DE00 5.0
/* Spots of the board that a mark is held against: the nearest few of a grid over the photo. */
enum {
  SPOTS_ACROSS = 12,
  SPOTS_DOWN = 9,
  SPOTS = SPOTS_ACROSS * SPOTS_DOWN,
  SPOTS_NEAR = 4,
  SPOTS_ALIKE = 2
};
#define SPOT_SHARE 0.02 /* half a spot's side, of the photo's shorter side */
enum { SEARCH_BYTES_MAX = 96 << 20, SPOT_BYTES_MAX = 32 << 20, SPOT_PIXELS = 4000, SEARCH_WAIT_S = 30 };

struct dw__board_seen {
  char sha256[DW__SHA_ROOM];
  size_t n;
  struct {
    dw_rect box;
    dw_shape outline;
  } thing[]; /* what lies on it: the baits, and the card as the last one where it was found */
};

void dw__boards_start(dw__boards *boards) {
  pthread_mutex_init(&boards->lock, NULL);
}

void dw__boards_stop(dw__boards *boards) {
  for (size_t i = 0; i < DW__BOARDS_MAX; i++) free(boards->seen[i]);
  pthread_mutex_destroy(&boards->lock);
}

dw_status dw__boards_take(dw__boards *boards, dw_error *err) {
  struct timespec until;
  clock_gettime(CLOCK_REALTIME, &until);
  until.tv_sec += SEARCH_WAIT_S;
  if (pthread_mutex_timedlock(&boards->lock, &until) == 0) return DW_OK;
  return dw_fail(err, DW_LOCKED, "The bench is still searching other photos: try again in a moment.");
}

void dw__boards_give(dw__boards *boards) {
  pthread_mutex_unlock(&boards->lock);
}

static dw__board_seen *seen_of(const dw__boards *boards, const char *sha256) {
  for (size_t i = 0; i < DW__BOARDS_MAX; i++)
    if (boards->seen[i] && strcmp(boards->seen[i]->sha256, sha256) == 0) return boards->seen[i];
  return NULL;
}

static void outline_of(const dw_bait *bait, dw_shape *out) {
  const size_t half = DW_BAIT_STATIONS;
  *out = (dw_shape){.kind = DW_SHAPE_POLY, .n = 2 * half};
  for (size_t i = 0; i < half; i++) {
    const dw_bait_station *s = &bait->station[i];
    double *back = &out->xy[2 * i], *belly = &out->xy[2 * (2 * half - 1 - i)];
    back[0] = s->back_x, back[1] = s->back_y;
    belly[0] = s->belly_x, belly[1] = s->belly_y;
  }
}

/* The corners are patches' centers: the card reaches farther. */
static void card_of(const dw_corners *corners, dw_rect *box, dw_shape *outline) {
  double x0 = INFINITY, y0 = INFINITY, x1 = -INFINITY, y1 = -INFINITY;
  *outline = (dw_shape){.kind = DW_SHAPE_POLY, .n = 4};
  memcpy(outline->xy, corners->xy, sizeof corners->xy);
  for (size_t i = 0; i < 4; i++) {
    x0 = fmin(x0, corners->xy[2 * i]), x1 = fmax(x1, corners->xy[2 * i]);
    y0 = fmin(y0, corners->xy[2 * i + 1]), y1 = fmax(y1, corners->xy[2 * i + 1]);
  }
  double margin = 0.2 * fmax(x1 - x0, y1 - y0);
  *box = (dw_rect){(int)(x0 - margin), (int)(y0 - margin), (int)(x1 - x0 + 2 * margin),
                   (int)(y1 - y0 + 2 * margin)};
}

static dw__board_seen *seen_new(const char *sha256, const dw_marks *marks, const dw_baits *baits) {
  dw__board_seen *seen = calloc(1, sizeof *seen + (baits->n + 1) * sizeof *seen->thing);
  if (!seen) return NULL;
  dw_copy_text(seen->sha256, sizeof seen->sha256, sha256);
  for (; seen->n < baits->n; seen->n++) {
    seen->thing[seen->n].box = baits->bait[seen->n].box;
    outline_of(&baits->bait[seen->n], &seen->thing[seen->n].outline);
  }
  if (marks->method != DW_LIGHT_CARD) return seen;
  card_of(&marks->corners, &seen->thing[seen->n].box, &seen->thing[seen->n].outline);
  seen->n++;
  return seen;
}

/* Without memory it is only not remembered. */
static void remember(dw__boards *boards, const char *sha256, const dw_marks *marks, const dw_baits *baits) {
  dw__board_seen *old = seen_of(boards, sha256), **place = &boards->seen[boards->next];
  if (old) old->sha256[0] = '\0';
  dw__board_seen *seen = baits->board ? seen_new(sha256, marks, baits) : NULL;
  if (!seen) return;
  free(*place);
  *place = seen;
  boards->next = (boards->next + 1) % DW__BOARDS_MAX;
}

dw_status dw__boards_find(dw__boards *boards, const char *sha256, dw_photo *photo, dw_marks *marks,
                          const dw_bait_rules *rules, dw_arena *arena, dw_found *out, dw_error *err) {
  dw_status status = dw__boards_take(boards, err);
  if (status != DW_OK) return status;
  status = dw_find_in(photo, marks, rules, SEARCH_BYTES_MAX, arena, out, err);
  if (status == DW_OK) remember(boards, sha256, marks, &out->baits);
  pthread_mutex_unlock(&boards->lock);
  return status;
}

/* ---- marks beside the bait --------------------------------------------------------------------------------
 */

typedef struct spot {
  double x, y, away; /* away: infinite where something lies on it */
} spot;

static int by_distance(const void *a, const void *b) {
  double one = ((const spot *)a)->away, other = ((const spot *)b)->away;
  return (one > other) - (one < other);
}

static bool in_box(const dw_rect *box, double x, double y) {
  return x >= box->x && x <= box->x + box->w && y >= box->y && y <= box->y + box->h;
}

static bool on_a_thing(const dw__board_seen *seen, int x, int y) {
  uint8_t inside = 0;
  for (size_t i = 0; i < seen->n && !inside; i++)
    dw_shape_mask(&seen->thing[i].outline, &(dw_rect){x, y, 1, 1}, &inside);
  return inside;
}

static bool is_free(const dw__board_seen *seen, double x, double y) {
  for (size_t i = 0; i < seen->n; i++)
    if (in_box(&seen->thing[i].box, x, y)) return false;
  return true;
}

/* The board's spots, those nearest to the mark first; false where the mark is on a bait, or nothing is known.
 */
static bool spots_near(dw__boards *boards, const char *sha256, const dw_photo_info *info, const dw_rect *mark,
                       spot out[SPOTS]) {
  const double x = mark->x + mark->w / 2.0, y = mark->y + mark->h / 2.0;
  pthread_mutex_lock(&boards->lock);
  const dw__board_seen *seen = seen_of(boards, sha256);
  bool known = seen && !on_a_thing(seen, (int)x, (int)y);
  for (int i = 0; known && i < SPOTS; i++) {
    spot *s = &out[i];
    s->x = (i % SPOTS_ACROSS + 0.5) * info->width / SPOTS_ACROSS;
    s->y = (i / SPOTS_ACROSS + 0.5) * info->height / SPOTS_DOWN;
    bool apart = is_free(seen, s->x, s->y) && !in_box(mark, s->x, s->y);
    s->away = apart ? hypot(s->x - x, s->y - y) : INFINITY;
  }
  pthread_mutex_unlock(&boards->lock);
  if (known) qsort(out, SPOTS, sizeof *out, by_distance);
  return known;
}

/* What can't be read (glare, too dark) is no board that a mark could be taken for. */
static bool spot_alike(dw_photo *photo, const dw_light *light, const spot *at, dw_lab lab, dw_mark *mark,
                       dw_layer_reading *read) {
  dw_error err;
  const dw_photo_info *info = dw_photo_info_get(photo);
  const double half = fmax(4, SPOT_SHARE * fmin(info->width, info->height));
  dw_arena *arena = dw_arena_new(SPOT_BYTES_MAX);
  mark->shape = (dw_shape){.kind = DW_SHAPE_RECT, .xy = {at->x - half, at->y - half, 2 * half, 2 * half}};
  bool alike = arena && dw_flow_measure(photo, light, mark, SPOT_PIXELS, arena, read, NULL, &err) == DW_OK &&
               dw_de00(read->reading.lab, lab) < BOARD_NEAR_DE00;
  dw_arena_free(arena);
  return alike;
}

dw_status dw__boards_hit(dw__boards *boards, const char *sha256, dw_photo *photo, const dw_light *light,
                         const dw_layer_reading *read, bool *out, dw_error *err) {
  spot spots[SPOTS];
  dw_rect box;
  int alike = 0;
  dw_mark *mark = calloc(1, sizeof *mark);
  dw_layer_reading *spot_read = calloc(1, sizeof *spot_read);
  const dw_photo_info *info = dw_photo_info_get(photo);
  dw_status status =
      mark && spot_read ? dw_shape_bounds(&read->shape, info, &box, err) : dw_fail_memory(err, "the board");
  if (status == DW_OK && spots_near(boards, sha256, info, &box, spots))
    for (int i = 0; i < SPOTS_NEAR && isfinite(spots[i].away); i++)
      alike += spot_alike(photo, light, &spots[i], read->reading.lab, mark, spot_read);
  *out = alike >= SPOTS_ALIKE;
  free(spot_read);
  free(mark);
  return status;
}
