/* Inside bench/: connections are watched, so that one which dawdles with its request is cut off. */
#ifndef POURTONE_APP_BENCH_CONNS_H
#define POURTONE_APP_BENCH_CONNS_H

#include "pourtone/base.h"

#include <pthread.h>

#define PT__IDLE_LIMIT_S 20.0 /* for a request's head, or to stay idle between two */

typedef struct pt__conn {
  struct pt__conn *next, *previous;
  int fd;
  double deadline_s; /* monotonic; infinite while the server itself is at work */
} pt__conn;

typedef struct pt__conns {
  pthread_mutex_t lock;
  pthread_cond_t wake;
  pthread_t watchdog;
  bool running, stopping;
  pt__conn *first;
} pt__conns;

pt_status pt__conns_start(pt__conns *conns, pt_error *err);
void pt__conns_stop(pt__conns *conns);
/* A connection that has just come, and must bring a whole request head in time; NULL when out of memory. */
pt__conn *pt__conns_add(pt__conns *conns, int fd);
void pt__conns_remove(pt__conns *conns, pt__conn *conn);
/* Time for what comes next: seconds from now, or INFINITY. */
void pt__conns_allow(pt__conns *conns, pt__conn *conn, double seconds);

#endif
