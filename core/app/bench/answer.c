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

/* Without value there is no such header. */
static bool add_header(struct MHD_Response *response, const char *name, const char *value) {
  return !value || !*value || MHD_add_response_header(response, name, value) == MHD_YES;
}

static bool add_headers(struct MHD_Response *response, const char *type, const char *cache) {
  bool all = true;
  for (size_t i = 0; i < sizeof every_answer / sizeof *every_answer; i++)
    all = all && add_header(response, every_answer[i][0], every_answer[i][1]);
  return all && add_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, cache) &&
         add_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type);
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
  bool whole = add_headers(response, asset->type, "no-cache") &&
               add_header(response, MHD_HTTP_HEADER_ETAG, asset->tag);
  unsigned status = same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK;
  enum MHD_Result sent = whole ? MHD_queue_response(mhd, status, response) : MHD_NO;
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

#define KEPT_WORDS "This was kept, but its answer could not be made: load the page again."

/* What is kept stays so, whatever its answer failed by. */
static bool word_kept(dw__exchange *x) {
  x->status = MHD_HTTP_INTERNAL_SERVER_ERROR;
  json_decref(x->json);
  x->json = json_pack("{s:s, s:b}", "error", KEPT_WORDS, "kept", 1);
  return x->json != NULL;
}

static bool word_error(dw__exchange *x) {
  x->same = false;
  x->cookie[0] = '\0';
  if (x->changed) return word_kept(x);
  if (!x->status) x->status = status_of(x->failed);
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

/* ---- when memory is short -------------------------------------------------------------------------------- */

static struct MHD_Response *last_word(const char *json) {
  struct MHD_Response *out =
      MHD_create_response_from_buffer(strlen(json), (void *)(uintptr_t)json, MHD_RESPMEM_PERSISTENT);
  if (!out || add_headers(out, "application/json", "no-store")) return out;
  MHD_destroy_response(out);
  return NULL;
}

dw_status dw__answers_start(dw_bench *bench, dw_error *err) {
  bench->last_word[0] = last_word("{\"error\":\"There is not enough memory for the answer.\"}");
  bench->last_word[1] = last_word("{\"error\":\"" KEPT_WORDS "\",\"kept\":true}");
  return bench->last_word[0] && bench->last_word[1] ? DW_OK : dw_fail_memory(err, "the bench");
}

void dw__answers_stop(dw_bench *bench) {
  for (size_t i = 0; i < sizeof bench->last_word / sizeof *bench->last_word; i++)
    if (bench->last_word[i]) MHD_destroy_response(bench->last_word[i]);
}

/* ---- sent ------------------------------------------------------------------------------------------------ */

static bool is_without_body(const dw__exchange *x) {
  return !x->json && !x->bytes && x->status != MHD_HTTP_NO_CONTENT;
}

static bool add_own_headers(struct MHD_Response *response, const dw__exchange *x) {
  char how[80] = "";
  if (x->file_name && x->failed == DW_OK)
    snprintf(how, sizeof how, "attachment; filename=\"%s\"", x->file_name);
  return add_headers(response, x->type, x->same ? "private, max-age=604800, immutable" : "no-store") &&
         add_header(response, MHD_HTTP_HEADER_SET_COOKIE, x->cookie) &&
         add_header(response, MHD_HTTP_HEADER_CONTENT_DISPOSITION, how) &&
         add_header(response, MHD_HTTP_HEADER_ALLOW, x->allowed) &&
         add_header(response, MHD_HTTP_HEADER_CONNECTION, x->hang_up ? "close" : "");
}

/* NULL: there is not enough memory */
static struct MHD_Response *response_of(dw__exchange *x) {
  if (x->failed == DW_OK && is_without_body(x)) x->failed = dw_fail_memory(&x->err, "the answer");
  if (x->failed != DW_OK && !word_error(x)) return NULL;
  if (x->json && !write_json(x)) return NULL;
  struct MHD_Response *response = MHD_create_response_from_buffer(x->n, x->bytes, MHD_RESPMEM_MUST_FREE);
  if (!response) return NULL;
  x->bytes = NULL; /* the response's now */
  if (add_own_headers(response, x)) return response;
  MHD_destroy_response(response);
  return NULL;
}

enum MHD_Result dw__answer_send(dw__exchange *x) {
  struct MHD_Response *response = response_of(x);
  if (!response && x->hang_up) return MHD_NO;
  if (!response)
    return MHD_queue_response(x->mhd, MHD_HTTP_INTERNAL_SERVER_ERROR, x->bench->last_word[x->changed]);
  unsigned status = x->status ? x->status : MHD_HTTP_OK;
  enum MHD_Result sent = MHD_queue_response(x->mhd, status, response);
  MHD_destroy_response(response);
  return sent;
}
