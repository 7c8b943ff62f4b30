/* The bench: a local page that does the whole job.  docs/bench-api.md says what page and server tell each
 * other. */
#ifndef DROPWISE_APP_BENCH_H
#define DROPWISE_APP_BENCH_H

#include "dropwise/report.h"

typedef struct dw_bench_options {
  const char *book; /* its file; NULL for the default place */
  const char *const *plugin_dirs;
  size_t n_plugin_dirs;
  unsigned port;   /* 0: any free one */
  bool lan;        /* reachable from the network, by pairing */
  bool units_said; /* answers are in these units, whatever the book says: */
  dw_units units;
  void (*code_changed)(const char *code); /* lan: a new pairing code, "" when there are no more; or NULL */
} dw_bench_options;

enum { DW_BENCH_CODE_ROOM = 7 };

typedef struct dw_bench dw_bench;

/* Starts serving on threads of its own. The plugins are looked at once, here.
 * Errors DW_LOCKED the port is taken; those of dw_book_open; DW_NO_MEMORY */
dw_status dw_bench_start(const dw_bench_options *options, dw_bench **out, dw_error *err);
/* "http://127.0.0.1:8321/"; borrowed */
const char *dw_bench_address(const dw_bench *bench);
/* The six digits that a phone must give once; "" without lan. */
void dw_bench_code(dw_bench *bench, char out[DW_BENCH_CODE_ROOM]);
void dw_bench_stop(dw_bench *bench); /* NULL is fine */

/* One file of the page, embedded at build. */
typedef struct dw__asset {
  const char *path; /* "/", "/app/main.js" */
  const char *type;
  const unsigned char *bytes;
  size_t n;
  const char *tag; /* its hash, as ETag */
} dw__asset;
extern const dw__asset dw__assets[];
extern const size_t dw__asset_count;

#endif
