/* Inside bench/: connections are watched, so that one which dawdles with its request is cut off. */
#ifndef DROPWISE_APP_BENCH_CONNS_H
#define DROPWISE_APP_BENCH_CONNS_H

#include "dropwise/base.h"

#include <pthread.h>

#define DW__IDLE_LIMIT_S 20.0 /* for a request's head, or to stay idle between two */

typedef struct dw__conn {
  struct dw__conn *next, *previous;
  int fd;
  double deadline_s; /* monotonic; infinite while the server itself is at work */
} dw__conn;

typedef struct dw__conns {
  pthread_mutex_t lock;
  pthread_cond_t wake;
  pthread_t watchdog;
  bool running, stopping;
  dw__conn *first;
} dw__conns;

dw_status dw__conns_start(dw__conns *conns, dw_error *err);
void dw__conns_stop(dw__conns *conns);
/* A connection that has just come, and must bring a whole request head in time; NULL when out of memory. */
dw__conn *dw__conns_add(dw__conns *conns, int fd);
void dw__conns_remove(dw__conns *conns, dw__conn *conn);
/* Time for what comes next: seconds from now, or INFINITY. */
void dw__conns_allow(dw__conns *conns, dw__conn *conn, double seconds);

#endif
