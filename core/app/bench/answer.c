/* Answers: status, headers that hold for all of them, bytes. */
#include "app/bench/http.h"

#include <string.h>

static const char *const every_answer[][2] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src "
     "'self'; "
     "manifest-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Permissions-Policy", "geolocation=(), microphone=()"},
};

static void add_headers(struct MHD_Response *response, const char *type, const char *cache) {
  for (size_t i = 0; i < sizeof every_answer / sizeof *every_answer; i++)
    MHD_add_response_header(response, every_answer[i][0], every_answer[i][1]);
  MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, cache);
  if (type) MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type);
}

const dw__asset *dw__asset_find(const char *path) {
  for (size_t i = 0; i < dw__asset_count; i++)
    if (strcmp(dw__assets[i].path, path) == 0) return &dw__assets[i];
  return NULL;
}

/* The page's files change with the program only, but one address serves every version: the browser asks
 * again each time and is told by the tag that nothing changed. */
enum MHD_Result dw__asset_send(struct MHD_Connection *mhd, const dw__asset *asset) {
  const char *seen = MHD_lookup_connection_value(mhd, MHD_HEADER_KIND, MHD_HTTP_HEADER_IF_NONE_MATCH);
  bool same = seen && strcmp(seen, asset->tag) == 0;
  struct MHD_Response *response = MHD_create_response_from_buffer(
      same ? 0 : asset->n, (void *)(uintptr_t)asset->bytes, MHD_RESPMEM_PERSISTENT);
  if (!response) return MHD_NO;
  add_headers(response, asset->type, "no-cache");
  MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, asset->tag);
  enum MHD_Result sent = MHD_queue_response(mhd, same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK, response);
  MHD_destroy_response(response);
  return sent;
}

static unsigned status_of(dw_status status) {
  switch (status) {
  case DW_OK:
    return MHD_HTTP_OK;
  case DW_USAGE:
    return MHD_HTTP_BAD_REQUEST;
  case DW_NOT_FOUND:
    return MHD_HTTP_NOT_FOUND;
  case DW_TOO_LARGE:
    return MHD_HTTP_CONTENT_TOO_LARGE;
  case DW_UNSUPPORTED:
    return MHD_HTTP_UNSUPPORTED_MEDIA_TYPE;
  case DW_REFUSED:
  case DW_BAD_INPUT:
  case DW_TOO_FEW:
  case DW_CORRUPT:
    return MHD_HTTP_UNPROCESSABLE_CONTENT;
  case DW_LOCKED:
    return MHD_HTTP_SERVICE_UNAVAILABLE;
  default:
    return MHD_HTTP_INTERNAL_SERVER_ERROR;
  }
}

static bool word_error(dw__exchange *x) {
  if (!x->status) x->status = status_of(x->failed);
  x->kept = false;
  x->cookie[0] = '\0';
  if (!x->json) x->json = json_object();
  return json_object_set_new(x->json, "error", json_string(x->err.text)) == 0;
}

static bool write_json(dw__exchange *x) {
  x->bytes = dw_json_write(x->json, JSON_COMPACT | JSON_REAL_PRECISION(10));
  if (!x->bytes) return false;
  x->n = strlen(x->bytes);
  x->type = "application/json";
  return true;
}

enum MHD_Result dw__answer_send(dw__exchange *x) {
  if (x->failed != DW_OK && !word_error(x)) return MHD_NO;
  if (x->json && !write_json(x)) return MHD_NO;
  struct MHD_Response *response = MHD_create_response_from_buffer(x->n, x->bytes, MHD_RESPMEM_MUST_FREE);
  if (!response) return MHD_NO;
  x->bytes = NULL; /* the response's now */
  add_headers(response, x->type, x->kept ? "private, max-age=604800, immutable" : "no-store");
  if (x->cookie[0]) MHD_add_response_header(response, MHD_HTTP_HEADER_SET_COOKIE, x->cookie);
  if (x->file_name && x->failed == DW_OK) {
    char how[80];
    snprintf(how, sizeof how, "attachment; filename=\"%s\"", x->file_name);
    MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_DISPOSITION, how);
  }
  if (x->allowed[0]) MHD_add_response_header(response, MHD_HTTP_HEADER_ALLOW, x->allowed);
  if (x->hang_up) MHD_add_response_header(response, MHD_HTTP_HEADER_CONNECTION, "close");
  unsigned status = x->status ? x->status : MHD_HTTP_OK;
  enum MHD_Result sent = MHD_queue_response(x->mhd, status, response);
  MHD_destroy_response(response);
  return sent;
}
