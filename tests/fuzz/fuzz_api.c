/* Requests of the page, a line each: method, path and body, as in POST /api/undo {"entry":3}; SHA in a path is a sample
 * photo's. The handlers run in this process, behind the server's own checks of heads, on a book that begins anew with
 * each input. */
#include "books.h"

#include "app/bench/server.h"

#include <stdlib.h>
#include <string.h>

enum { REQUESTS_MAX = 12 };

static dw_bench *bench;
static char sample[DW_SHA256_ROOM];
static bool searched; /* the card, by this input */

/* ---- one request ---------------------------------------------------------------------------------------- */

static void promise_answer(dw__exchange *x, dw_status status) {
  char *text = x->json ? json_dumps(x->json, JSON_COMPACT) : NULL;
  promise(!x->json || text, "an answer can be written");
  if (status == DW_OK)
    promise(x->json || x->bytes || x->status == MHD_HTTP_NO_CONTENT, "there is an answer");
  else {
    x->err.code =
        status; /* what is answered goes by the status: a wrong key in a body is no missing address */
    promise_refusal(status, &x->err);
  }
  free(text);
}

static void ask(const char *method, const char *path, const char *body) {
  dw__exchange x = {.bench = bench, .token_fine = true};
  x.route = dw__route_find(method, path, x.part, x.allowed, sizeof x.allowed);
  if (!x.route || x.route->takes == DW__TAKES_PHOTO) return;
  x.body = *body ? json_loads(body, JSON_REJECT_DUPLICATES, NULL) : json_object();
  if (json_is_object(x.body) || x.route->takes == DW__TAKES_NOTHING) {
    dw_status status = x.route->handle(&x, &x.err);
    promise_answer(&x, status);
    promise(!fuzz_book_in_transaction(bench->book), "no transaction stays open");
  }
  json_decref(x.body);
  json_decref(x.json);
  free(x.bytes);
  dw__upload_free(x.upload);
}

/* Looking for the card takes a second under the sanitizers: once an input. */
static bool once(const char *place) {
  if (!strstr(place, "/card")) return true;
  if (searched) return false;
  searched = true;
  return true;
}

/* The path with the sample's id where it says SHA. */
static void ask_line(char *line) {
  char path[256];
  char *body = line, *method = strsep(&body, " "), *place = body ? strsep(&body, " ") : NULL;
  char *sha = place ? strstr(place, "SHA") : NULL;
  if (!place || strlen(place) > 150 || !once(place)) return;
  if (sha)
    snprintf(path, sizeof path, "%.*s%s%s", (int)(sha - place), place, sample, sha + 3);
  else
    snprintf(path, sizeof path, "%s", place);
  ask(method, path, body ? body : "");
}

/* ---- the bench ------------------------------------------------------------------------------------------ */

static void take_sample(void) {
  dw__exchange x = {.bench = bench, .body = json_object(), .part = {"crawfish-1"}};
  promise(dw__sample_post(&x, &x.err) == DW_OK, "there is a sample");
  snprintf(sample, sizeof sample, "%s", json_string_value(json_object_get(x.json, "id")));
  json_decref(x.body);
  json_decref(x.json);
  dw__upload_free(x.upload);
}

static void bench_end(void) {
  fuzz_book_forget();
  dw_bench_stop(bench);
}

static void prepare(void) {
  dw_error err;
  dw_book_close(fuzz_book_filled("book.db"));
  const dw_bench_options how = {.book = fuzz_place(0, "book.db")};
  if (dw_bench_start(&how, &bench, &err) != DW_OK) promise(false, err.text);
  take_sample();
  fuzz_book_keep(bench->book);
  atexit(bench_end);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  char *text = fuzz_text(bytes, n), *rest = text, *line;
  if (!bench) prepare();
  searched = false;
  for (int i = 0; i < REQUESTS_MAX && (line = strsep(&rest, "\n")); i++) ask_line(line);
  fuzz_book_again(bench->book);
  free(text);
  return 0;
}

/* ---- its mutator ---------------------------------------------------------------------------------------- */

/* The body of one of the lines is changed as JSON; a quarter of the time any bytes are. */
size_t LLVMFuzzerCustomMutator(uint8_t *bytes, size_t n, size_t room, unsigned seed) {
  size_t lines = 1, begin = 0, end;
  if (seed % 4 == 0 || n == 0) return LLVMFuzzerMutate(bytes, n, room);
  for (size_t i = 0; i < n; i++) lines += bytes[i] == '\n';
  for (size_t skip = seed / 4 % lines; skip > 0 && begin < n; begin++) skip -= bytes[begin] == '\n';
  for (end = begin; end < n && bytes[end] != '\n';) end++;
  while (begin < end && bytes[begin] != '{') begin++;
  if (begin == end) return LLVMFuzzerMutate(bytes, n, room);
  uint8_t *body = malloc(room), *behind = malloc(n - end + 1);
  promise(body && behind, "memory");
  memcpy(body, bytes + begin, end - begin);
  memcpy(behind, bytes + end, n - end);
  size_t length = fuzz_json_mutate(body, end - begin, room - begin - (n - end), seed * 31u);
  memcpy(bytes + begin, body, length);
  memcpy(bytes + begin + length, behind, n - end);
  n = begin + length + (n - end);
  free(body);
  free(behind);
  return n;
}
