/* Inside bench/: the running server, one request and its answer, and what the files of this folder share. */
#ifndef POURTONE_APP_BENCH_SERVER_H
#define POURTONE_APP_BENCH_SERVER_H

#include "app/bench/bench.h"
#include "app/bench/conns.h"
#include "app/bench/guard.h"
#include "app/bench/lights.h"
#include "app/bench/photos.h"

#include "pourtone/book_pours.h"
#include "pourtone/book_work.h"

#include <microhttpd.h>
#include <stdatomic.h>

struct pt_bench {
  struct MHD_Daemon *daemon;
  pt_units units;
  char address[PT__HOST_ROOM + 16];
  pt_plugins plugins;
  pt_book *book;
  pthread_mutex_t book_lock;
  pthread_cond_t book_changed; /* told after every writing request */
  atomic_bool stopping;
  pt__guard guard;
  pt__conns conns;
  pt__photos photos;
  pt__lights lights;
};

/* ---- one request ------------------------------------------------------------------------------------------
 */

enum { PT__PARTS_MAX = 2, PT__PART_ROOM = 72 };

typedef struct pt__exchange pt__exchange;

typedef enum pt__takes {
  PT__TAKES_NOTHING,
  PT__TAKES_JSON, /* an object, at most 1 MiB */
  PT__TAKES_PHOTO /* an image file, at most 64 MiB, streamed to the photo folder */
} pt__takes;

/* What one address does. A handler sets the answer, or returns an error, whose sentence is then the answer.
 */
typedef struct pt__route {
  const char *method;
  const char *path; /* "/api/photos/SHA/preview": SHA, ID, BOTTLE and NAME stand for a part of that form */
  pt__takes takes;
  bool open; /* serves those not paired too */
  pt_status (*handle)(pt__exchange *x, pt_error *err);
} pt__route;

struct pt__exchange {
  pt_bench *bench;
  struct MHD_Connection *mhd;
  pt__conn *conn;
  const pt__route *route;
  char part[PT__PARTS_MAX][PT__PART_ROOM]; /* what stood for SHA, ID ... in order */
  bool token_fine;

  pt_text text;       /* the body as it comes in */
  pt__upload *upload; /* a photo as it comes in */
  size_t got;
  json_t *body; /* PT__TAKES_JSON */

  pt_status failed; /* before the handler: answered when the body is in */
  pt_error err;

  /* The answer: JSON, or bytes. */
  unsigned status; /* 0: 200, or by the error */
  json_t *json;    /* owned */
  char *bytes;     /* owned, by free() */
  size_t n;
  const char *type;
  bool hang_up;     /* the body is not wanted: close behind the answer */
  char allowed[32]; /* Allow, or "" */
  const pt__asset *asset;
  bool kept;        /* the same address will always give the same: browsers may keep it */
  char cookie[160]; /* Set-Cookie, or "" */
};

extern const pt__route pt__routes[];
extern const size_t pt__route_count;

/* Finds the route of a path; *allowed lists the methods that the path knows, comma separated, when it knows
 * it at all. parts as in pt__exchange. NULL: none. */
const pt__route *pt__route_find(const char *method, const char *path, char parts[][PT__PART_ROOM],
                                char *allowed, size_t room);

int64_t pt__id(const pt__exchange *x, size_t part); /* a part that stood for ID */
/* A query value, percent signs decoded; false when it is not there or no clean text that fits. */
bool pt__query(const pt__exchange *x, const char *name, char *out, size_t room);
/* A whole number in the query between min and max, or fallback when absent. */
pt_status pt__query_int(const pt__exchange *x, const char *name, int min, int max, int fallback, int *out,
                        pt_error *err);

/* ---- handlers ---------------------------------------------------------------------------------------------
 */

pt_status pt__state_get(pt__exchange *x, pt_error *err);
pt_status pt__pair_post(pt__exchange *x, pt_error *err);
pt_status pt__photo_post(pt__exchange *x, pt_error *err);
pt_status pt__photo_get(pt__exchange *x, pt_error *err);
pt_status pt__sample_post(pt__exchange *x, pt_error *err);
pt_status pt__preview_get(pt__exchange *x, pt_error *err);
pt_status pt__crop_get(pt__exchange *x, pt_error *err);
pt_status pt__light_post(pt__exchange *x, pt_error *err);
pt_status pt__measure_post(pt__exchange *x, pt_error *err);
pt_status pt__advise_post(pt__exchange *x, pt_error *err);
pt_status pt__predict_post(pt__exchange *x, pt_error *err);
pt_status pt__work_post(pt__exchange *x, pt_error *err);
pt_status pt__work_get(pt__exchange *x, pt_error *err);
pt_status pt__work_patch(pt__exchange *x, pt_error *err);
pt_status pt__work_delete(pt__exchange *x, pt_error *err);
pt_status pt__work_undo_post(pt__exchange *x, pt_error *err);
pt_status pt__work_pour_post(pt__exchange *x, pt_error *err);
pt_status pt__work_measured_post(pt__exchange *x, pt_error *err);
pt_status pt__work_finish_post(pt__exchange *x, pt_error *err);
pt_status pt__pattern_post(pt__exchange *x, pt_error *err);
pt_status pt__pattern_patch(pt__exchange *x, pt_error *err);
pt_status pt__pattern_delete(pt__exchange *x, pt_error *err);
pt_status pt__target_post(pt__exchange *x, pt_error *err);
pt_status pt__target_get(pt__exchange *x, pt_error *err);
pt_status pt__drift_get(pt__exchange *x, pt_error *err);
pt_status pt__batch_get(pt__exchange *x, pt_error *err);
pt_status pt__batch_patch(pt__exchange *x, pt_error *err);
pt_status pt__bottle_post(pt__exchange *x, pt_error *err);
pt_status pt__bottle_patch(pt__exchange *x, pt_error *err);
pt_status pt__bottle_delete(pt__exchange *x, pt_error *err);
pt_status pt__lot_post(pt__exchange *x, pt_error *err);
pt_status pt__chips_post(pt__exchange *x, pt_error *err);
pt_status pt__fit_post(pt__exchange *x, pt_error *err);
pt_status pt__sheet_get(pt__exchange *x, pt_error *err);
pt_status pt__sheet_style_get(pt__exchange *x, pt_error *err);

/* The bottles at hand; *out by pt_shelf_free. */
pt_status pt__shelf_get(pt_bench *bench, pt_shelf **out, pt_error *err);
const pt__asset *pt__asset_find(const char *path); /* NULL: none */

#endif
