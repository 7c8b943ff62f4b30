/* The bench: a local page that does the whole job.  docs/bench-api.md says what page and server tell each
 * other. */
#ifndef POURTONE_APP_BENCH_H
#define POURTONE_APP_BENCH_H

#include "pourtone/report.h"

typedef struct pt_bench_options {
  const char *book; /* its file; NULL for the default place */
  const char *const *plugin_dirs;
  size_t n_plugin_dirs;
  unsigned port; /* 0: any free one */
  bool lan;      /* reachable from the network, by pairing */
  pt_units units;
  void (*code_changed)(const char *code); /* lan: a new pairing code, "" when pairing has closed; or NULL */
} pt_bench_options;

enum { PT_BENCH_CODE_ROOM = 7 };

typedef struct pt_bench pt_bench;

/* Starts serving on threads of its own. The plugins are looked at once, here.
 * Errors PT_LOCKED the port is taken; those of pt_book_open; PT_NO_MEMORY */
pt_status pt_bench_start(const pt_bench_options *options, pt_bench **out, pt_error *err);
/* "http://127.0.0.1:8321/"; borrowed */
const char *pt_bench_address(const pt_bench *bench);
/* The six digits that a phone must give once; "" without lan. */
void pt_bench_code(pt_bench *bench, char out[PT_BENCH_CODE_ROOM]);
void pt_bench_stop(pt_bench *bench); /* NULL is fine */

/* One file of the page, embedded at build. */
typedef struct pt__asset {
  const char *path; /* "/", "/app/main.js" */
  const char *type;
  const unsigned char *bytes;
  size_t n;
  const char *tag; /* its hash, as ETag */
} pt__asset;
extern const pt__asset pt__assets[];
extern const size_t pt__asset_count;

#endif
