#include "app/bench/conns.h"

#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

double dw__now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Ends both directions; the connection's own thread then finds it closed and cleans up. */
static void cut(dw__conn *c) {
  shutdown(c->fd, SHUT_RDWR);
  c->cut = true;
}

static void cut_late(dw__conns *conns) {
  double now = dw__now_s();
  for (dw__conn *c = conns->first; c; c = c->next) {
    if (!c->cut && c->deadline_s <= now) cut(c);
  }
}

/* The newest stand first: the last that is met of a kind is its oldest. */
static void make_room(dw__conns *conns, uint32_t address) {
  unsigned all = 0, here = 0;
  dw__conn *oldest = NULL, *oldest_here = NULL;
  for (dw__conn *c = conns->first; c; c = c->next) {
    if (c->known || c->cut) continue;
    all++;
    oldest = c;
    if (c->address != address) continue;
    here++;
    oldest_here = c;
  }
  if (here >= DW__STRANGERS_PER_ADDRESS_MAX)
    cut(oldest_here);
  else if (all >= DW__STRANGERS_MAX)
    cut(oldest);
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

dw__conn *dw__conns_add(dw__conns *conns, int fd, uint32_t address) {
  dw__conn *conn = calloc(1, sizeof *conn);
  if (!conn) return NULL;
  conn->fd = fd;
  conn->address = address;
  conn->deadline_s = dw__now_s() + DW__IDLE_LIMIT_S;
  pthread_mutex_lock(&conns->lock);
  make_room(conns, address);
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

void dw__conns_know(dw__conns *conns, dw__conn *conn) {
  if (!conn) return;
  pthread_mutex_lock(&conns->lock);
  conn->known = true;
  pthread_mutex_unlock(&conns->lock);
}

void dw__conns_allow(dw__conns *conns, dw__conn *conn, double seconds) {
  if (!conn) return;
  pthread_mutex_lock(&conns->lock);
  conn->deadline_s = dw__now_s() + seconds;
  pthread_mutex_unlock(&conns->lock);
}
