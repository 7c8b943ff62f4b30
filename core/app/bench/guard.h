/* Inside bench/: who may ask. Hosts and origins against rebinding and foreign pages; pairing and its tokens
 * for the network. */
#ifndef DROPWISE_APP_BENCH_GUARD_H
#define DROPWISE_APP_BENCH_GUARD_H

#include "dropwise/base.h"

#include <pthread.h>

enum {
  DW__HOSTS_MAX = 18,
  DW__HOST_ROOM = 64,
  DW__DEVICES_MAX = 16,
  DW__TOKEN_DIGITS = 64,
  DW__CODE_DIGITS = 6
};

typedef struct dw__guard {
  bool lan;
  size_t n_hosts;
  char host[DW__HOSTS_MAX][DW__HOST_ROOM]; /* "127.0.0.1:8321", as a Host header must read */
  pthread_mutex_t lock;                    /* of all below */
  char code[DW__CODE_DIGITS + 1];          /* the code at hand, "" once pairing has closed */
  unsigned misses, all_misses;             /* of this code; since the start */
  size_t n_devices;
  char token[DW__DEVICES_MAX][DW__TOKEN_DIGITS + 1];
  void (*code_changed)(const char *code); /* told of a new code, "" when pairing has closed; may be NULL */
} dw__guard;

/* Fills hosts for the port: loopback names, and with lan the machine's own addresses. */
dw_status dw__guard_start(dw__guard *guard, bool lan, unsigned port, dw_error *err);
void dw__guard_stop(dw__guard *guard);

/* host, origin: the headers, NULL when absent. An origin must be the host's own. */
bool dw__guard_host_fine(const dw__guard *guard, const char *host);
bool dw__guard_origin_fine(const char *host, const char *origin);
/* The token of a device that has paired; always true without lan.  In constant time. */
bool dw__guard_token_fine(dw__guard *guard, const char *token);

/* A code is good once and for 5 tries; after 20 wrong ones in all, pairing is closed until the next start.
 * token  set when the code is right
 * Errors DW_REFUSED a wrong code, or pairing is closed */
dw_status dw__guard_pair(dw__guard *guard, const char *code, char token[DW__TOKEN_DIGITS + 1], dw_error *err);
void dw__guard_code(dw__guard *guard, char out[DW__CODE_DIGITS + 1]);

#endif
