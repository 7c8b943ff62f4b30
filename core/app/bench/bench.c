#include "app/bench/http.h"
#include "dropwise/book_journal.h"

#include <arpa/inet.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

enum {
  CONNECTIONS_MAX = 400,
  CONNECTIONS_PER_ADDRESS_MAX = 300,
  CONNECTION_BYTES = 32 << 10, /* a request's head, and its body's pieces */
  IDLE_LIMIT_S = 30,           /* without a byte; the watchdog bounds the whole */
  STACK_BYTES = 4 << 20        /* a search holds 0.8 MiB in one frame where a build is not optimized */
};

/* ---- the socket -------------------------------------------------------------------------------------------
 */

static dw_status listen_on(const dw_bench_options *options, int *out, unsigned *port, dw_error *err) {
  struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)options->port)};
  at.sin_addr.s_addr = htonl(options->lan ? INADDR_ANY : INADDR_LOOPBACK);
  socklen_t length = sizeof at;
  int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0), yes = 1;
  if (fd < 0) return dw_fail(err, DW_IO, "The bench can't open a socket: %s.", strerror(errno));
  setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  if (bind(fd, (struct sockaddr *)&at, sizeof at) || listen(fd, CONNECTIONS_MAX) ||
      getsockname(fd, (struct sockaddr *)&at, &length)) {
    int fault = errno;
    close(fd);
    if (fault == EADDRINUSE)
      return dw_fail(
          err, DW_LOCKED,
          "Port %u is taken by another program, perhaps another bench; give --port another number.",
          options->port);
    return dw_fail(err, DW_IO, "The bench can't serve on port %u: %s.", options->port, strerror(fault));
  }
  *out = fd;
  *port = ntohs(at.sin_port);
  return DW_OK;
}

/* Paths and values stay as they were sent: the routes know no percent sign, and dw__query decodes its own. */
static size_t keep_escapes(void *closure, struct MHD_Connection *mhd, char *text) {
  (void)closure, (void)mhd;
  return strlen(text);
}

static void be_silent(void *closure, const char *format, va_list arguments) {
  (void)closure, (void)format, (void)arguments;
}

static dw_status serve(dw_bench *bench, int fd, dw_error *err) {
  bench->daemon = MHD_start_daemon(
      MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_THREAD_PER_CONNECTION | MHD_USE_POLL | MHD_USE_ERROR_LOG |
          MHD_USE_ITC,
      0, NULL, NULL, dw__http_access, bench, MHD_OPTION_EXTERNAL_LOGGER, be_silent, NULL,
      MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, (unsigned)CONNECTIONS_MAX,
      MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)CONNECTIONS_PER_ADDRESS_MAX,
      MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_BYTES, MHD_OPTION_CONNECTION_TIMEOUT,
      (unsigned)IDLE_LIMIT_S, MHD_OPTION_THREAD_STACK_SIZE, (size_t)STACK_BYTES, MHD_OPTION_STRICT_FOR_CLIENT,
      1, MHD_OPTION_NOTIFY_COMPLETED, dw__http_completed, bench, MHD_OPTION_NOTIFY_CONNECTION,
      dw__http_connection, bench, MHD_OPTION_UNESCAPE_CALLBACK, keep_escapes, NULL, MHD_OPTION_END);
  if (bench->daemon) return DW_OK;
  close(fd);
  return dw_fail(err, DW_IO, "The bench's server can't be started: %s.", strerror(errno));
}

/* ---- start and stop ---------------------------------------------------------------------------------------
 */

static dw_status prepare(dw_bench *bench, const dw_bench_options *options, dw_error *err) {
  dw_status status = dw_plugins_find(options->plugin_dirs, options->n_plugin_dirs, 0, &bench->plugins, err);
  if (status == DW_OK) status = dw_book_open(options->book, DW_BOOK_WRITE, &bench->book, err);
  if (status == DW_OK) dw_book_set_door(bench->book, DW_DOOR_PAGE);
  if (status == DW_OK) status = dw__photos_start(&bench->photos, dw_book_path(bench->book), err);
  if (status == DW_OK) status = dw__conns_start(&bench->conns, err);
  if (status == DW_OK) status = dw__answers_start(bench, err);
  const dw__asset *chips = dw__asset_find(DW__SAMPLE_CHIPS);
  if (chips) dw_sha256(chips->bytes, chips->n, bench->sample_chips);
  return status;
}

static dw_bench *bench_new(const dw_bench_options *options) {
  dw_bench *bench = calloc(1, sizeof *bench);
  pthread_condattr_t monotonic;
  if (!bench) return NULL;
  bench->units = options->units;
  bench->units_said = options->units_said;
  bench->photos.folder_fd = bench->photos.lock_fd = -1;
  pthread_condattr_init(&monotonic);
  pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
  pthread_cond_init(&bench->book_changed, &monotonic);
  pthread_condattr_destroy(&monotonic);
  pthread_mutex_init(&bench->book_lock, NULL);
  dw__lights_start(&bench->lights);
  dw__boards_start(&bench->boards);
  return bench;
}

dw_status dw_bench_start(const dw_bench_options *options, dw_bench **out, dw_error *err) {
  int fd = -1;
  unsigned port = 0;
  dw_bench *bench = bench_new(options);
  if (!bench) return dw_fail_memory(err, "the bench");
  dw_status status = listen_on(options, &fd, &port, err);
  bench->guard.code_changed = options->code_changed;
  if (status == DW_OK) status = dw__guard_start(&bench->guard, options->lan, port, err);
  if (status == DW_OK) status = prepare(bench, options, err);
  if (status != DW_OK && fd >= 0) close(fd);
  if (status == DW_OK) status = serve(bench, fd, err);
  if (status != DW_OK) {
    dw_bench_stop(bench);
    return status;
  }
  snprintf(bench->address, sizeof bench->address, "http://%s/", bench->guard.host[0]);
  *out = bench;
  return DW_OK;
}

void dw_bench_stop(dw_bench *bench) {
  if (!bench) return;
  pthread_mutex_lock(&bench->book_lock);
  bench->stopping = true; /* who waits for news is sent away */
  pthread_cond_broadcast(&bench->book_changed);
  pthread_mutex_unlock(&bench->book_lock);
  if (bench->daemon) MHD_stop_daemon(bench->daemon);
  dw__answers_stop(bench);
  dw__conns_stop(&bench->conns);
  dw__photos_stop(&bench->photos);
  dw__lights_stop(&bench->lights);
  dw__boards_stop(&bench->boards);
  dw__guard_stop(&bench->guard);
  dw_book_close(bench->book);
  pthread_cond_destroy(&bench->book_changed);
  pthread_mutex_destroy(&bench->book_lock);
  free(bench);
}

const char *dw_bench_address(const dw_bench *bench) {
  return bench->address;
}

void dw_bench_code(dw_bench *bench, char out[DW_BENCH_CODE_ROOM]) {
  dw__guard_code(&bench->guard, out);
}
