#include "app/bench/guard.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <math.h>
#include <net/if.h>
#include <nettle/memops.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>

enum { MISSES_PER_CODE = 5, FREE_MISSES = 5, FREE_MISSES_IN_ALL = 10, CODES = 1000000 };
#define WAIT_MAX_S 600.0
#define WAIT_IN_ALL_MAX_S 60.0
#define FORGET_S 3600.0

/* ---- hosts ------------------------------------------------------------------------------------------------
 */

static void host_add(dw__guard *guard, const char *name, unsigned port) {
  if (guard->n_hosts == DW__HOSTS_MAX) return;
  snprintf(guard->host[guard->n_hosts++], DW__HOST_ROOM, "%s:%u", name, port);
}

static void hosts_of_machine(dw__guard *guard, unsigned port) {
  struct ifaddrs *all = NULL;
  if (getifaddrs(&all)) return;
  for (const struct ifaddrs *i = all; i; i = i->ifa_next) {
    char name[INET_ADDRSTRLEN];
    if (!i->ifa_addr || i->ifa_addr->sa_family != AF_INET || (i->ifa_flags & IFF_LOOPBACK)) continue;
    const struct sockaddr_in *address = (const struct sockaddr_in *)(const void *)i->ifa_addr;
    if (inet_ntop(AF_INET, &address->sin_addr, name, sizeof name)) host_add(guard, name, port);
  }
  freeifaddrs(all);
}

/* Port 80 goes without saying in http: "127.0.0.1" is "127.0.0.1:80". */
static size_t length_without_80(const char *host) {
  size_t n = strlen(host);
  return n > 3 && strcmp(host + n - 3, ":80") == 0 ? n - 3 : n;
}

static bool same_host(const char *one, const char *other) {
  size_t n = length_without_80(one);
  return n == length_without_80(other) && strncasecmp(one, other, n) == 0;
}

bool dw__guard_host_fine(const dw__guard *guard, const char *host) {
  for (size_t i = 0; host && i < guard->n_hosts; i++)
    if (same_host(guard->host[i], host)) return true;
  return false;
}

bool dw__guard_origin_fine(const char *host, const char *origin) {
  if (!origin) return true;
  return strncasecmp(origin, "http://", 7) == 0 && same_host(origin + 7, host);
}

/* ---- pairing ----------------------------------------------------------------------------------------------
 */

static bool random_fill(void *out, size_t n) {
  return getrandom(out, n, 0) == (ssize_t)n;
}

/* Every code equally likely: numbers beyond the last whole round are drawn again. False: no randomness. */
static bool code_draw(dw__guard *guard) {
  uint32_t number;
  do
    if (!random_fill(&number, sizeof number)) return false;
  while (number >= UINT32_MAX / CODES * CODES);
  snprintf(guard->code, sizeof guard->code, "%06u", number % CODES);
  guard->misses = 0;
  return true;
}

static void code_renew(dw__guard *guard) {
  bool open = guard->n_devices < DW__DEVICES_MAX;
  if (!open || !code_draw(guard)) guard->code[0] = '\0';
  if (guard->code_changed) guard->code_changed(guard->code);
}

static bool token_draw(char out[DW__TOKEN_DIGITS + 1]) {
  uint8_t bytes[DW__TOKEN_DIGITS / 2];
  if (!random_fill(bytes, sizeof bytes)) return false;
  dw_hex(bytes, sizeof bytes, out);
  return true;
}

bool dw__guard_token_fine(dw__guard *guard, const char *token) {
  if (!guard->lan) return true;
  if (!token || strlen(token) != DW__TOKEN_DIGITS) return false;
  int found = 0;
  pthread_mutex_lock(&guard->lock);
  for (size_t i = 0; i < guard->n_devices; i++) found |= memeql_sec(guard->token[i], token, DW__TOKEN_DIGITS);
  pthread_mutex_unlock(&guard->lock);
  return found != 0;
}

/* The address's place: its own, else a free one, else NULL. */
static dw__guesser *guesser_of(dw__guard *guard, const dw__guess *guess) {
  dw__guesser *unused = NULL;
  for (size_t i = 0; i < DW__GUESSERS_MAX; i++) {
    dw__guesser *g = &guard->guesser[i];
    if (g->misses && guess->now_s - g->last_s > FORGET_S) g->misses = 0;
    if (g->misses && g->address == guess->address) return g;
    if (!g->misses && !unused) unused = g;
  }
  return unused;
}

/* Seconds that must lie between the last of so many misses and the next guess. */
static double wait_after(unsigned misses, unsigned unpunished, double most) {
  return misses < unpunished ? 0 : fmin(ldexp(1, (int)fmin(misses - unpunished, 30)), most);
}

/* Seconds that the guess comes too early. */
static double wait_left(const dw__guard *guard, const dw__guesser *g, double now_s) {
  double own = 0, all = 0;
  if (g && g->misses) own = g->last_s + wait_after(g->misses, FREE_MISSES, WAIT_MAX_S) - now_s;
  if (!g || g->misses)
    all = guard->last_miss_s + wait_after(guard->all_misses, FREE_MISSES_IN_ALL, WAIT_IN_ALL_MAX_S) - now_s;
  return fmax(own, all);
}

static dw_status miss(dw__guard *guard, dw__guesser *g, const dw__guess *guess, dw_error *err) {
  guard->misses++;
  guard->all_misses++;
  guard->last_miss_s = guess->now_s;
  if (g) *g = (dw__guesser){guess->address, g->misses + 1, guess->now_s};
  if (guard->misses >= MISSES_PER_CODE) code_renew(guard);
  return dw_fail(err, DW_REFUSED, "That is not the code; type the six digits that the terminal shows now.");
}

static dw_status pair(dw__guard *guard, const dw__guess *guess, char token[DW__TOKEN_DIGITS + 1],
                      dw_error *err) {
  if (!guard->code[0])
    return dw_fail(err, DW_REFUSED, "%d devices are paired, and no more can be; start the bench again.",
                   DW__DEVICES_MAX);
  dw__guesser *g = guesser_of(guard, guess);
  double left = wait_left(guard, g, guess->now_s);
  if (left > 0)
    return dw_fail(err, DW_REFUSED, "Too many wrong codes came in: wait %.0f s, then type the code again.",
                   ceil(left));
  if (strlen(guess->code) != DW__CODE_DIGITS || !memeql_sec(guard->code, guess->code, DW__CODE_DIGITS))
    return miss(guard, g, guess, err);
  if (!token_draw(token)) return dw_fail(err, DW_INTERNAL, "The system gives no random numbers.");
  memcpy(guard->token[guard->n_devices++], token, DW__TOKEN_DIGITS + 1);
  guard->all_misses = 0;
  if (g) g->misses = 0;
  code_renew(guard);
  return DW_OK;
}

dw_status dw__guard_pair(dw__guard *guard, const dw__guess *guess, char token[DW__TOKEN_DIGITS + 1],
                         dw_error *err) {
  pthread_mutex_lock(&guard->lock);
  dw_status status = pair(guard, guess, token, err);
  pthread_mutex_unlock(&guard->lock);
  return status;
}

void dw__guard_code(dw__guard *guard, char out[DW__CODE_DIGITS + 1]) {
  pthread_mutex_lock(&guard->lock);
  memcpy(out, guard->code, DW__CODE_DIGITS + 1);
  pthread_mutex_unlock(&guard->lock);
}

dw_status dw__guard_start(dw__guard *guard, bool lan, unsigned port, dw_error *err) {
  pthread_mutex_init(&guard->lock, NULL);
  guard->lan = lan;
  if (lan) hosts_of_machine(guard, port);
  host_add(guard, "127.0.0.1", port);
  host_add(guard, "localhost", port);
  if (lan && !code_draw(guard)) return dw_fail(err, DW_INTERNAL, "The system gives no random numbers.");
  return DW_OK;
}

void dw__guard_stop(dw__guard *guard) {
  pthread_mutex_destroy(&guard->lock);
}
