#include "app/bench/guard.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <nettle/memops.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>

enum { MISSES_PER_CODE = 5, MISSES_MAX = 20, CODES = 1000000 };

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
  bool open = guard->all_misses < MISSES_MAX && guard->n_devices < DW__DEVICES_MAX;
  if (!open || !code_draw(guard)) guard->code[0] = '\0';
  if (guard->code_changed) guard->code_changed(guard->code);
}

static bool token_draw(char out[DW__TOKEN_DIGITS + 1]) {
  uint8_t bytes[DW__TOKEN_DIGITS / 2];
  if (!random_fill(bytes, sizeof bytes)) return false;
  for (size_t i = 0; i < sizeof bytes; i++) snprintf(out + 2 * i, 3, "%02x", bytes[i]);
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

static dw_status miss(dw__guard *guard, dw_error *err) {
  guard->misses++;
  guard->all_misses++;
  if (guard->misses >= MISSES_PER_CODE || guard->all_misses >= MISSES_MAX) code_renew(guard);
  return dw_fail(err, DW_REFUSED, "That is not the code; type the six digits that the terminal shows now.");
}

static dw_status pair(dw__guard *guard, const char *code, char token[DW__TOKEN_DIGITS + 1], dw_error *err) {
  if (!guard->code[0])
    return dw_fail(err, DW_REFUSED, "Pairing is closed; end the bench in its terminal and start it again.");
  if (strlen(code) != DW__CODE_DIGITS || !memeql_sec(guard->code, code, DW__CODE_DIGITS))
    return miss(guard, err);
  if (!token_draw(token)) return dw_fail(err, DW_INTERNAL, "The system gives no random numbers.");
  memcpy(guard->token[guard->n_devices++], token, DW__TOKEN_DIGITS + 1);
  code_renew(guard);
  return DW_OK;
}

dw_status dw__guard_pair(dw__guard *guard, const char *code, char token[DW__TOKEN_DIGITS + 1],
                         dw_error *err) {
  pthread_mutex_lock(&guard->lock);
  dw_status status = pair(guard, code, token, err);
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
