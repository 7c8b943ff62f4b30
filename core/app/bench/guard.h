/* Inside bench/: who may ask. Hosts and origins against rebinding and foreign pages; pairing and its tokens
 * for the network. */
#ifndef POURTONE_APP_BENCH_GUARD_H
#define POURTONE_APP_BENCH_GUARD_H

#include "pourtone/base.h"

#include <pthread.h>

enum {
  PT__HOSTS_MAX = 18,
  PT__HOST_ROOM = 64,
  PT__DEVICES_MAX = 16,
  PT__TOKEN_DIGITS = 64,
  PT__CODE_DIGITS = 6
};

typedef struct pt__guard {
  bool lan;
  size_t n_hosts;
  char host[PT__HOSTS_MAX][PT__HOST_ROOM]; /* "127.0.0.1:8321", as a Host header must read */
  pthread_mutex_t lock;                    /* of all below */
  char code[PT__CODE_DIGITS + 1];          /* the code at hand, "" once pairing has closed */
  unsigned misses, all_misses;             /* of this code; since the start */
  size_t n_devices;
  char token[PT__DEVICES_MAX][PT__TOKEN_DIGITS + 1];
  void (*code_changed)(const char *code); /* told of a new code, "" when pairing has closed; may be NULL */
} pt__guard;

/* Fills hosts for the port: loopback names, and with lan the machine's own addresses. */
pt_status pt__guard_start(pt__guard *guard, bool lan, unsigned port, pt_error *err);
void pt__guard_stop(pt__guard *guard);

/* host, origin: the headers, NULL when absent. An origin must be the host's own. */
bool pt__guard_host_fine(const pt__guard *guard, const char *host);
bool pt__guard_origin_fine(const char *host, const char *origin);
/* The token of a device that has paired; always true without lan.  In constant time. */
bool pt__guard_token_fine(pt__guard *guard, const char *token);

/* A code is good once and for 5 tries; after 20 wrong ones in all, pairing is closed until the next start.
 * token  set when the code is right
 * Errors PT_REFUSED a wrong code, or pairing is closed */
pt_status pt__guard_pair(pt__guard *guard, const char *code, char token[PT__TOKEN_DIGITS + 1], pt_error *err);
void pt__guard_code(pt__guard *guard, char out[PT__CODE_DIGITS + 1]);

#endif
