/* Inside bench/: the boards of photos that were searched lately, so that a mark beside the bait is noticed.
 */
#ifndef DROPWISE_APP_BENCH_BOARDS_H
#define DROPWISE_APP_BENCH_BOARDS_H

#include "app/bench/photos.h"

#include "dropwise/read_find.h"

enum { DW__BOARDS_MAX = 6 };
#define DW__ON_BOARD_WORDS "Its mark has the color of the board around it: is it on the bait?"

typedef struct dw__board_seen dw__board_seen;

typedef struct dw__boards {
  pthread_mutex_t lock; /* one search at a time; also guards what was seen */
  dw__board_seen *seen[DW__BOARDS_MAX];
  size_t next; /* the one to be replaced */
} dw__boards;

void dw__boards_start(dw__boards *boards);
void dw__boards_stop(dw__boards *boards);

/* Searches a kept photo for its card and its baits, and remembers the board.
 * marks  as dw_find_in; filled in where the card was found
 * Errors those of dw_find_in; DW_LOCKED other photos are being searched */
dw_status dw__boards_find(dw__boards *boards, const char *sha256, dw_photo *photo, dw_marks *marks,
                          const dw_bait_rules *rules, dw_arena *arena, dw_found *out, dw_error *err);
/* Alone, as every search; dw__boards_give behind a DW_OK.  Errors DW_LOCKED */
dw_status dw__boards_take(dw__boards *boards, dw_error *err);
void dw__boards_give(dw__boards *boards);
/* Whether what was read lies outside of every bait that was found and has the color of the board around it.
 * False where the photo was not searched lately, or has no plain board.
 * light  that it was read by */
dw_status dw__boards_hit(dw__boards *boards, const char *sha256, dw_photo *photo, const dw_light *light,
                         const dw_layer_reading *read, bool *out, dw_error *err);

#endif
