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
  DW__CODE_DIGITS = 6,
  DW__GUESSERS_MAX = 64
};

/* An address that gave wrong codes. */
typedef struct dw__guesser {
  uint32_t address;
  unsigned misses; /* 0: a free place */
  double last_s;   /* when the last one came */
} dw__guesser;

typedef struct dw__guard {
  bool lan;
  size_t n_hosts;
  char host[DW__HOSTS_MAX][DW__HOST_ROOM]; /* "127.0.0.1:8321", as a Host header must read */
  pthread_mutex_t lock;                    /* of all below */
  char code[DW__CODE_DIGITS + 1];          /* the code at hand, "" when no more devices can be paired */
  unsigned misses, all_misses;             /* of this code; since a device was paired */
  double last_miss_s;
  dw__guesser guesser[DW__GUESSERS_MAX];
  size_t n_devices;
  char token[DW__DEVICES_MAX][DW__TOKEN_DIGITS + 1];
  void (*code_changed)(const char *code); /* told of a new code, "" when there are no more; may be NULL */
} dw__guard;

/* Fills hosts for the port: loopback names, and with lan the machine's own addresses. */
dw_status dw__guard_start(dw__guard *guard, bool lan, unsigned port, dw_error *err);
void dw__guard_stop(dw__guard *guard);

/* host, origin: the headers, NULL when absent. An origin must be the host's own. */
bool dw__guard_host_fine(const dw__guard *guard, const char *host);
bool dw__guard_origin_fine(const char *host, const char *origin);
/* The token of a device that has paired; always true without lan.  In constant time. */
bool dw__guard_token_fine(dw__guard *guard, const char *token);

typedef struct dw__guess {
  const char *code;
  uint32_t address; /* whose */
  double now_s;     /* of a clock that only goes forward */
} dw__guess;

/* A code is good once and for 5 tries. From the 5th wrong one of an address on, and from the 10th in all, the
 * next must wait: 1 s, 2 s, 4 s ... up to 10 minutes for the address, 1 minute in all. One that comes earlier
 * is not looked at. The first guess of an address need not wait for others, while there is a place to
 * remember it; after an hour of quiet an address is forgotten.
 * token  set when the code is right
 * Errors DW_REFUSED a wrong code, one that comes too early, or as many devices as there may be */
dw_status dw__guard_pair(dw__guard *guard, const dw__guess *guess, char token[DW__TOKEN_DIGITS + 1],
                         dw_error *err);
void dw__guard_code(dw__guard *guard, char out[DW__CODE_DIGITS + 1]);

#endif
