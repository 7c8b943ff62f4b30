/* Inside bench/: a request about layers and their cups, as the one adviser takes it. */
#ifndef DROPWISE_APP_BENCH_QUESTION_H
#define DROPWISE_APP_BENCH_QUESTION_H

#include "app/bench/server.h"
#include "dropwise/batch_advice.h"

/* The book as one question sees it: a connection of its own, since plugins may take their time. */
typedef struct dw__asker {
  dw_book *book;
  dw_pattern pattern;
  bool blends; /* it is about how colors meet: a layer with something in its cup needs nothing to aim for */
} dw__asker;

/* With "pattern" in the body what was poured of it counts; without "layers" its own are asked for.
 * from      its book the caller's, dw_book_close, on error too
 * question  zeroed but for the request's shelf */
dw_status dw__question_of(dw__exchange *x, dw__asker *from, dw_batch_question *question, dw_error *err);

#endif
