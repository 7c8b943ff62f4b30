#include "app/bench/conns.h"

#include <math.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Ends both directions; the connection's own thread then finds it closed and cleans up. */
static void cut_late(dw__conns *conns) {
  double now = now_s();
  for (dw__conn *c = conns->first; c; c = c->next) {
    if (c->deadline_s > now) continue;
    shutdown(c->fd, SHUT_RDWR);
    c->deadline_s = INFINITY;
  }
}

static void *watch(void *arg) {
  dw__conns *conns = arg;
  pthread_mutex_lock(&conns->lock);
  while (!conns->stopping) {
    struct timespec next;
    clock_gettime(CLOCK_MONOTONIC, &next);
    next.tv_sec += 1;
    pthread_cond_timedwait(&conns->wake, &conns->lock, &next);
    cut_late(conns);
  }
  pthread_mutex_unlock(&conns->lock);
  return NULL;
}

dw_status dw__conns_start(dw__conns *conns, dw_error *err) {
  pthread_condattr_t monotonic;
  pthread_condattr_init(&monotonic);
  pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
  pthread_mutex_init(&conns->lock, NULL);
  pthread_cond_init(&conns->wake, &monotonic);
  pthread_condattr_destroy(&monotonic);
  conns->running = pthread_create(&conns->watchdog, NULL, watch, conns) == 0;
  return conns->running ? DW_OK : dw_fail_memory(err, "a thread of the bench");
}

void dw__conns_stop(dw__conns *conns) {
  if (!conns->running) return;
  pthread_mutex_lock(&conns->lock);
  conns->stopping = true;
  pthread_cond_signal(&conns->wake);
  pthread_mutex_unlock(&conns->lock);
  pthread_join(conns->watchdog, NULL);
  pthread_cond_destroy(&conns->wake);
  pthread_mutex_destroy(&conns->lock);
  conns->running = false;
}

dw__conn *dw__conns_add(dw__conns *conns, int fd) {
  dw__conn *conn = calloc(1, sizeof *conn);
  if (!conn) return NULL;
  conn->fd = fd;
  conn->deadline_s = now_s() + DW__IDLE_LIMIT_S;
  pthread_mutex_lock(&conns->lock);
  conn->next = conns->first;
  if (conn->next) conn->next->previous = conn;
  conns->first = conn;
  pthread_mutex_unlock(&conns->lock);
  return conn;
}

void dw__conns_remove(dw__conns *conns, dw__conn *conn) {
  pthread_mutex_lock(&conns->lock);
  if (conn->next) conn->next->previous = conn->previous;
  if (conn->previous)
    conn->previous->next = conn->next;
  else
    conns->first = conn->next;
  pthread_mutex_unlock(&conns->lock);
  free(conn);
}

void dw__conns_allow(dw__conns *conns, dw__conn *conn, double seconds) {
  if (!conn) return;
  pthread_mutex_lock(&conns->lock);
  conn->deadline_s = now_s() + seconds;
  pthread_mutex_unlock(&conns->lock);
}
