/* Inside bench/: connections are watched, so that one which dawdles with its request is cut off, and those
 * that have shown no token make room for others. */
#ifndef DROPWISE_APP_BENCH_CONNS_H
#define DROPWISE_APP_BENCH_CONNS_H

#include "dropwise/base.h"

#include <pthread.h>

#define DW__IDLE_LIMIT_S 20.0 /* for a request's head, or to stay idle between two */

enum {
  DW__STRANGERS_MAX = 300,            /* connections without a token yet, in all */
  DW__STRANGERS_PER_ADDRESS_MAX = 100 /* and of one address */
};

typedef struct dw__conn {
  struct dw__conn *next, *previous;
  int fd;
  uint32_t address;  /* IPv4, as it came */
  bool known;        /* a request on it bore the token of a paired device (without --lan: any request) */
  bool cut;          /* shut down, and soon removed */
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
/* Seconds of a clock that only goes forward. */
double dw__now_s(void);
/* A connection that has just come, and must bring a whole request head in time; NULL when out of memory.
 * Beyond the strangers' limits the oldest of them (of its address, or of all) is cut off. */
dw__conn *dw__conns_add(dw__conns *conns, int fd, uint32_t address);
/* It is no stranger: kept however many others come. conn  NULL is fine */
void dw__conns_know(dw__conns *conns, dw__conn *conn);
void dw__conns_remove(dw__conns *conns, dw__conn *conn);
/* Time for what comes next: seconds from now, or INFINITY. */
void dw__conns_allow(dw__conns *conns, dw__conn *conn, double seconds);

#endif
