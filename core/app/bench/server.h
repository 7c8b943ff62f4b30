/* Inside bench/: the running server, one request and its answer, and what the files of this folder share. */
#ifndef DROPWISE_APP_BENCH_SERVER_H
#define DROPWISE_APP_BENCH_SERVER_H

#include "app/bench/bench.h"
#include "app/bench/boards.h"
#include "app/bench/conns.h"
#include "app/bench/guard.h"
#include "app/bench/lights.h"
#include "app/bench/photos.h"

#include "dropwise/book_bench.h"
#include "dropwise/book_pours.h"

#include <microhttpd.h>
#include <stdatomic.h>

typedef struct dw__exchange dw__exchange;

struct dw_bench {
  struct MHD_Daemon *daemon;
  struct MHD_Response *last_word[2]; /* made at the start, for when memory is short: "changed" gives which */
  dw_units units;                    /* where they were said at the start: */
  atomic_bool units_said;
  char address[DW__HOST_ROOM + 16];
  dw_plugins plugins;
  dw_book *book;
  pthread_mutex_t book_lock;
  dw__exchange *changing;      /* whose transaction it is, where it changes something; with the lock held */
  pthread_cond_t book_changed; /* told after every writing request */
  atomic_bool stopping;
  dw__guard guard;
  dw__conns conns;
  dw__photos photos;
  dw__lights lights;
  dw__boards boards;
  char sample_chips[DW_SHA256_ROOM]; /* the built-in photo of chips */
};

/* ---- one request ------------------------------------------------------------------------------------------
 */

enum { DW__PARTS_MAX = 2, DW__PART_ROOM = 72 };

typedef enum dw__takes {
  DW__TAKES_NOTHING,
  DW__TAKES_JSON, /* an object, at most 1 MiB */
  DW__TAKES_PHOTO /* an image file, at most 64 MiB, streamed to the photo folder */
} dw__takes;

/* What one address does. A handler sets the answer, or returns an error, whose sentence is then the answer.
 */
typedef struct dw__route {
  const char *method;
  const char *path; /* "/api/photos/SHA/preview": SHA, ID, BOTTLE, PLUGIN and NAME stand for parts */
  dw__takes takes;
  bool open; /* serves those not paired too */
  dw_status (*handle)(dw__exchange *x, dw_error *err);
} dw__route;

struct dw__exchange {
  dw_bench *bench;
  struct MHD_Connection *mhd;
  dw__conn *conn;
  const dw__route *route;
  char part[DW__PARTS_MAX][DW__PART_ROOM]; /* what stood for SHA, ID ... in order */
  bool token_fine;

  dw_text text;       /* the body as it comes in */
  dw__upload *upload; /* a photo as it comes in */
  size_t got;
  json_t *body; /* DW__TAKES_JSON */

  dw_status failed; /* before the handler: answered when the body is in */
  dw_error err;
  bool changed; /* the book holds what was asked for, whatever becomes of the answer */

  /* The answer: JSON, or bytes. */
  unsigned status; /* 0: 200, or by the error */
  json_t *json;    /* owned */
  char *bytes;     /* owned, by free() */
  size_t n;
  const char *type;
  const char *file_name; /* to be saved under; NULL: shown */
  bool hang_up;          /* the body is not wanted: close behind the answer */
  char allowed[32];      /* Allow, or "" */
  const dw__asset *asset;
  bool same;        /* the same address will always give the same: browsers may keep it */
  char cookie[160]; /* Set-Cookie, or "" */
};

extern const dw__route dw__routes[];
extern const size_t dw__route_count;

/* Finds the route of a path; *allowed lists the methods that the path knows, comma separated, when it knows
 * it at all. parts as in dw__exchange. NULL: none. */
const dw__route *dw__route_find(const char *method, const char *path, char parts[][DW__PART_ROOM],
                                char *allowed, size_t room);

int64_t dw__id(const dw__exchange *x, size_t part); /* a part that stood for ID */
/* A query value, percent signs decoded; false when it is not there or no clean text that fits. */
bool dw__query(const dw__exchange *x, const char *name, char *out, size_t room);
/* A whole number in the query between min and max, or fallback when absent. */
dw_status dw__query_int(const dw__exchange *x, const char *name, int min, int max, int fallback, int *out,
                        dw_error *err);

/* ---- handlers ---------------------------------------------------------------------------------------------
 */

dw_status dw__state_get(dw__exchange *x, dw_error *err);
dw_status dw__pair_post(dw__exchange *x, dw_error *err);
dw_status dw__photo_post(dw__exchange *x, dw_error *err);
dw_status dw__photo_get(dw__exchange *x, dw_error *err);
dw_status dw__sample_post(dw__exchange *x, dw_error *err);
dw_status dw__sample_delete(dw__exchange *x, dw_error *err);
dw_status dw__settings_get(dw__exchange *x, dw_error *err);
dw_status dw__settings_patch(dw__exchange *x, dw_error *err);
dw_status dw__history_get(dw__exchange *x, dw_error *err);
dw_status dw__backup_get(dw__exchange *x, dw_error *err);
dw_status dw__preview_get(dw__exchange *x, dw_error *err);
dw_status dw__crop_get(dw__exchange *x, dw_error *err);
dw_status dw__find_post(dw__exchange *x, dw_error *err);
dw_status dw__swirl_post(dw__exchange *x, dw_error *err);
dw_status dw__turn_post(dw__exchange *x, dw_error *err);
dw_status dw__card_post(dw__exchange *x, dw_error *err);
dw_status dw__sheet_post(dw__exchange *x, dw_error *err);
dw_status dw__light_post(dw__exchange *x, dw_error *err);
dw_status dw__measure_post(dw__exchange *x, dw_error *err);
dw_status dw__advise_post(dw__exchange *x, dw_error *err);
dw_status dw__predict_post(dw__exchange *x, dw_error *err);
dw_status dw__plugin_patch(dw__exchange *x, dw_error *err);
dw_status dw__work_post(dw__exchange *x, dw_error *err);
dw_status dw__work_get(dw__exchange *x, dw_error *err);
dw_status dw__work_patch(dw__exchange *x, dw_error *err);
dw_status dw__work_delete(dw__exchange *x, dw_error *err);
dw_status dw__undo_post(dw__exchange *x, dw_error *err);
dw_status dw__redo_post(dw__exchange *x, dw_error *err);
dw_status dw__work_cup_post(dw__exchange *x, dw_error *err);
dw_status dw__work_heat_post(dw__exchange *x, dw_error *err);
dw_status dw__work_pour_post(dw__exchange *x, dw_error *err);
dw_status dw__work_measured_post(dw__exchange *x, dw_error *err);
dw_status dw__work_drizzled_post(dw__exchange *x, dw_error *err);
dw_status dw__work_finish_post(dw__exchange *x, dw_error *err);
dw_status dw__pattern_post(dw__exchange *x, dw_error *err);
dw_status dw__pattern_patch(dw__exchange *x, dw_error *err);
dw_status dw__pattern_delete(dw__exchange *x, dw_error *err);
dw_status dw__target_post(dw__exchange *x, dw_error *err);
dw_status dw__target_get(dw__exchange *x, dw_error *err);
dw_status dw__drift_get(dw__exchange *x, dw_error *err);
dw_status dw__batch_get(dw__exchange *x, dw_error *err);
dw_status dw__batch_patch(dw__exchange *x, dw_error *err);
dw_status dw__bottle_post(dw__exchange *x, dw_error *err);
dw_status dw__bottle_patch(dw__exchange *x, dw_error *err);
dw_status dw__bottle_delete(dw__exchange *x, dw_error *err);
dw_status dw__lot_post(dw__exchange *x, dw_error *err);
dw_status dw__chips_post(dw__exchange *x, dw_error *err);
dw_status dw__chips_get(dw__exchange *x, dw_error *err);
dw_status dw__chip_patch(dw__exchange *x, dw_error *err);
dw_status dw__chip_delete(dw__exchange *x, dw_error *err);
dw_status dw__fit_post(dw__exchange *x, dw_error *err);
dw_status dw__blend_post(dw__exchange *x, dw_error *err);
dw_status dw__plan_post(dw__exchange *x, dw_error *err);
dw_status dw__molds_get(dw__exchange *x, dw_error *err);
dw_status dw__mold_post(dw__exchange *x, dw_error *err);
dw_status dw__mold_delete(dw__exchange *x, dw_error *err);
dw_status dw__sheet_get(dw__exchange *x, dw_error *err);
dw_status dw__sheet_style_get(dw__exchange *x, dw_error *err);

/* The bottles at hand, and those that cups hold beside; *out by dw_shelf_free, on error too. */
dw_status dw__shelf_get(dw_bench *bench, dw_shelf **out, dw_error *err);
const dw__asset *dw__asset_find(const char *path); /* NULL: none */
#define DW__SAMPLE_CHIPS "/app/samples/chips-1.jpg"

#endif
