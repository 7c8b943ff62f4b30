/* One request: its head is judged before a byte of its body is taken, its body within the route's limit. */
#include "app/bench/http.h"

#include <errno.h>
#include <math.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum {
  JSON_BYTES_MAX = 1 << 20,
  SWALLOW_BYTES_MAX = 8 << 20 /* of a refused body, so that a browser gets to read why */
};
#define JSON_LIMIT_S 20.0
#define PHOTO_LIMIT_S 180.0 /* 64 MiB over a slow wireless network */

static const char *header(const dw__exchange *x, const char *name) {
  return MHD_lookup_connection_value(x->mhd, MHD_HEADER_KIND, name);
}

static void refuse(dw__exchange *x, unsigned status, const char *why) {
  x->status = status;
  x->failed = dw_fail(&x->err, DW_REFUSED, "%s", why);
}

/* ---- the head ---------------------------------------------------------------------------------------------
 */

/* What of a head says where the request ends, and whom it is for. */
typedef struct framing {
  unsigned lengths, codings, hosts;
  bool malformed;
} framing;

static bool is_name(const char *key, const char *name) {
  return strcasecmp(key, name) == 0;
}

static bool is_length(const char *value) {
  return *value && value[strspn(value, "0123456789")] == '\0';
}

/* libmicrohttpd takes a space before the colon into the name, and then sees no length and no coding. */
static enum MHD_Result look_at_framing(void *ctx, enum MHD_ValueKind kind, const char *key,
                                       const char *value) {
  framing *f = ctx;
  (void)kind;
  if (!value) value = "";
  if (is_name(key, MHD_HTTP_HEADER_HOST)) f->hosts++;
  if (is_name(key, MHD_HTTP_HEADER_CONTENT_LENGTH)) {
    f->lengths++;
    f->malformed |= !is_length(value);
  }
  if (is_name(key, MHD_HTTP_HEADER_TRANSFER_ENCODING)) {
    f->codings++;
    f->malformed |= strcasecmp(value, "chunked") != 0;
  }
  f->malformed |= strpbrk(key, " \t\v\f\r") != NULL;
  return MHD_YES;
}

/* A head that two readers could take for requests of different ends (RFC 9112, 6.3 and 11.2). */
static bool judge_framing(dw__exchange *x) {
  framing f = {0};
  MHD_get_connection_values(x->mhd, MHD_HEADER_KIND, look_at_framing, &f);
  if (!f.malformed && f.lengths + f.codings <= 1 && f.hosts <= 1) return true;
  refuse(x, MHD_HTTP_BAD_REQUEST,
         "The request's head is contradictory or malformed: where it ends is unclear.");
  x->hang_up = true;
  return false;
}

/* page: one of the page's own files, which a link from elsewhere may lead to. */
static bool judge_source(dw__exchange *x, bool page) {
  const char *host = header(x, MHD_HTTP_HEADER_HOST), *site = header(x, "Sec-Fetch-Site");
  bool foreign = site && strcmp(site, "cross-site") == 0 && !page;
  if (!dw__guard_host_fine(&x->bench->guard, host))
    refuse(x, MHD_HTTP_FORBIDDEN, "This is not the address that the bench was started for.");
  else if (foreign || !dw__guard_origin_fine(host, header(x, MHD_HTTP_HEADER_ORIGIN)))
    refuse(x, MHD_HTTP_FORBIDDEN, "A page from elsewhere may not ask the bench.");
  return x->failed == DW_OK;
}

static bool judge_write(dw__exchange *x) {
  const char *type = header(x, MHD_HTTP_HEADER_CONTENT_TYPE), *own = header(x, "X-Dropwise");
  if (!own || strcmp(own, "1") != 0) {
    refuse(x, MHD_HTTP_FORBIDDEN, "The request lacks the header X-Dropwise.");
  } else if (x->route->takes == DW__TAKES_JSON && (!type || strncasecmp(type, "application/json", 16) != 0)) {
    refuse(x, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE, "The request must carry JSON.");
  } else if (x->route->takes == DW__TAKES_PHOTO && (!type || strncasecmp(type, "image/", 6) != 0)) {
    refuse(x, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE, "The request must carry a photo: a JPEG, PNG or HEIC file.");
  }
  return x->failed == DW_OK;
}

static size_t body_limit(const dw__exchange *x) {
  return !x->route || x->route->takes == DW__TAKES_NOTHING ? 0
         : x->route->takes == DW__TAKES_JSON               ? JSON_BYTES_MAX
                                                           : DW__PHOTO_BYTES_MAX;
}

/* What the head claims of the body; SIZE_MAX for nonsense. */
static size_t claimed_bytes(const dw__exchange *x) {
  const char *text = header(x, MHD_HTTP_HEADER_CONTENT_LENGTH);
  if (!text) return 0;
  char *end;
  errno = 0;
  unsigned long long n = strtoull(text, &end, 10);
  return errno || *end || n > SIZE_MAX / 2 ? SIZE_MAX : (size_t)n;
}

static void too_large(dw__exchange *x) {
  char why[120];
  snprintf(why, sizeof why, "The request is larger than the %zu bytes that it may have.", body_limit(x));
  refuse(x, MHD_HTTP_CONTENT_TOO_LARGE, why);
}

static void find_route(dw__exchange *x, const char *method, const char *path) {
  x->route = dw__route_find(method, path, x->part, x->allowed, sizeof x->allowed);
  if (x->route) return;
  if (x->allowed[0])
    refuse(x, MHD_HTTP_METHOD_NOT_ALLOWED, "This address can't be asked in that way.");
  else
    refuse(x, MHD_HTTP_NOT_FOUND, "The bench has no such address.");
}

static bool is_get(const char *method) {
  return strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;
}

static void judge_token(dw__exchange *x) {
  const char *token = MHD_lookup_connection_value(x->mhd, MHD_COOKIE_KIND, "dropwise_token");
  x->token_fine = dw__guard_token_fine(&x->bench->guard, token);
  if (x->token_fine) dw__conns_know(&x->bench->conns, x->conn);
}

static void judge(dw__exchange *x, const char *method, const char *path) {
  if (!judge_source(x, false)) return;
  find_route(x, method, path);
  if (x->failed != DW_OK) return;
  if (!x->token_fine && !x->route->open) {
    refuse(x, MHD_HTTP_UNAUTHORIZED,
           "This device is not paired: type the six digits that the terminal shows.");
    return;
  }
  if (!is_get(method) && !judge_write(x)) return;
  if (claimed_bytes(x) > body_limit(x)) too_large(x);
}

/* ---- the body ---------------------------------------------------------------------------------------------
 */

static void begin_body(dw__exchange *x) {
  bool photo = x->failed == DW_OK && x->route->takes == DW__TAKES_PHOTO;
  dw__conns_allow(&x->bench->conns, x->conn, photo ? PHOTO_LIMIT_S : JSON_LIMIT_S);
  if (photo) x->failed = dw__upload_begin(&x->bench->photos, &x->upload, &x->err);
}

/* False: it goes on and on; hang up. */
static bool take_body(dw__exchange *x, const char *bytes, size_t n) {
  x->got += n;
  if (x->failed == DW_OK && x->got > body_limit(x)) too_large(x);
  if (x->failed != DW_OK) return x->got <= body_limit(x) + SWALLOW_BYTES_MAX;
  if (x->upload) {
    x->failed = dw__upload_put(x->upload, bytes, n, &x->err);
  } else {
    dw_text_put(&x->text, bytes, n);
    if (x->text.failed) x->failed = dw_fail_memory(&x->err, "the request");
  }
  return true;
}

static void parse_json(dw__exchange *x) {
  if (x->text.length > 0)
    x->failed = dw_json_parse(x->text.data, x->text.length, "The request", &x->body, &x->err);
  else if (!(x->body = json_object()))
    x->failed = dw_fail_memory(&x->err, "the request");
  dw_text_free(&x->text);
  if (x->failed == DW_BAD_INPUT)
    x->failed = x->err.code = DW_USAGE; /* who asks is wrong, not a file of theirs */
  if (x->failed == DW_OK && !json_is_object(x->body))
    x->failed = dw_fail(&x->err, DW_USAGE, "The request must be a JSON object.");
}

static enum MHD_Result finish(dw__exchange *x) {
  dw__conns_allow(&x->bench->conns, x->conn, INFINITY); /* from here on it is the server that takes time */
  if (x->failed == DW_OK && x->route->takes == DW__TAKES_JSON) parse_json(x);
  if (x->failed == DW_OK) x->failed = x->route->handle(x, &x->err);
  dw__upload_free(x->upload); /* before the answer, so that who reads it finds no trace of a refused photo */
  x->upload = NULL;
  dw__conns_allow(&x->bench->conns, x->conn, PHOTO_LIMIT_S); /* to take the answer */
  return dw__answer_send(x);
}

/* ---- libmicrohttpd's side ---------------------------------------------------------------------------------
 */

static enum MHD_Result begin(dw_bench *bench, struct MHD_Connection *mhd, const char *url, const char *method,
                             void **request) {
  dw__exchange *x = calloc(1, sizeof *x);
  if (!x) return MHD_NO;
  *request = x;
  x->bench = bench;
  x->mhd = mhd;
  const union MHD_ConnectionInfo *info = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
  x->conn = info ? info->socket_context : NULL;
  if (!judge_framing(x)) return dw__answer_send(x);
  judge_token(x);
  const dw__asset *asset = is_get(method) ? dw__asset_find(url) : NULL;
  if (asset && judge_source(x, true)) {
    x->asset = asset;
    return MHD_YES;
  }
  if (!asset) judge(x, method, url);
  if (x->failed != DW_OK && claimed_bytes(x) > SWALLOW_BYTES_MAX) {
    x->hang_up = true;
    return dw__answer_send(x);
  }
  begin_body(x);
  return MHD_YES;
}

enum MHD_Result dw__http_access(void *bench, struct MHD_Connection *mhd, const char *url, const char *method,
                                const char *version, const char *upload_data, size_t *upload_data_size,
                                void **request) {
  (void)version;
  dw__exchange *x = *request;
  if (!x) return begin(bench, mhd, url, method, request);
  if (*upload_data_size > 0) {
    bool go_on = take_body(x, upload_data, *upload_data_size);
    *upload_data_size = 0;
    return go_on ? MHD_YES : MHD_NO;
  }
  if (!x->asset) return finish(x);
  dw__conns_allow(&x->bench->conns, x->conn, PHOTO_LIMIT_S);
  return dw__asset_send(mhd, x->asset);
}

void dw__http_completed(void *bench, struct MHD_Connection *mhd, void **request,
                        enum MHD_RequestTerminationCode code) {
  (void)mhd, (void)code;
  dw__exchange *x = *request;
  if (!x) return;
  dw__conns_allow(&((dw_bench *)bench)->conns, x->conn, DW__IDLE_LIMIT_S);
  dw__upload_free(x->upload);
  dw_text_free(&x->text);
  json_decref(x->body);
  json_decref(x->json);
  free(x->bytes);
  free(x);
  *request = NULL;
}

static uint32_t address_of(struct MHD_Connection *mhd) {
  const union MHD_ConnectionInfo *info = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
  if (!info || !info->client_addr || info->client_addr->sa_family != AF_INET) return 0;
  return ((const struct sockaddr_in *)(const void *)info->client_addr)->sin_addr.s_addr;
}

void dw__http_connection(void *bench, struct MHD_Connection *mhd, void **socket_context,
                         enum MHD_ConnectionNotificationCode code) {
  dw_bench *b = bench;
  if (code == MHD_CONNECTION_NOTIFY_STARTED) {
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(mhd, MHD_CONNECTION_INFO_CONNECTION_FD);
    *socket_context = info ? dw__conns_add(&b->conns, info->connect_fd, address_of(mhd)) : NULL;
  } else if (*socket_context) {
    dw__conns_remove(&b->conns, *socket_context);
  }
}
