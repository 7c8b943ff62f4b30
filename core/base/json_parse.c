/* Text becomes JSON, and a lack of memory is told from a fault of the text: jansson reports either as the other, and where
 * its own text of a token can't grow it goes on as if it had, and reads beyond it. So while a text is parsed, what
 * can't be had is taken from a reserve, the input ends there, and nothing of the result is used. */
#include "dropwise/json.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Read ahead of the parser: what is parsed after memory has failed. Each byte makes at most an object of some 250 bytes. */
enum { CHUNK = 64, RESERVE_LEAST = CHUNK * 512, ALIGNMENT = 16 };

typedef struct reserve {
  char *bytes;
  size_t size, used;
  bool lacked;
} reserve;

static _Thread_local reserve *at_hand; /* while this thread parses */

static void *take(size_t n) {
  reserve *r = at_hand;
  if (!r) return NULL;
  r->lacked = true;
  if (n > r->size - r->used) return NULL;
  void *out = r->bytes + r->used;
  r->used += (n + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
  if (r->used > r->size) r->used = r->size;
  return out;
}

static void *json_malloc(size_t n) {
  void *out = malloc(n);
  return out ? out : take(n);
}

static void json_release(void *memory) {
  const reserve *r = at_hand;
  uintptr_t at = (uintptr_t)memory, start = r ? (uintptr_t)r->bytes : 0;
  if (r && at >= start && at - start < r->size) return;
  free(memory);
}

/* Before any thread uses the library. What it gives out is free()d as ever. */
__attribute__((constructor)) static void serve_jansson(void) {
  json_set_alloc_funcs(json_malloc, json_release);
}

/* ---- parsing -------------------------------------------------------------------------------------------- */

typedef struct input {
  const char *text;
  size_t left;
  const reserve *reserve;
} input;

static size_t read_on(void *out, size_t room, void *context) {
  input *in = context;
  if (in->reserve->lacked) return 0;
  size_t n = in->left < CHUNK ? in->left : CHUNK;
  if (n > room) n = room;
  memcpy(out, in->text, n);
  in->text += n;
  in->left -= n;
  return n;
}

/* No token is longer than the longest way from one quotation mark to the next. */
static size_t longest_token(const char *text, size_t n) {
  size_t longest = 0, start = 0;
  for (size_t i = 0; i < n; i++) {
    if (text[i] == '\\')
      i++;
    else if (text[i] == '"')
      start = i;
    if (i - start > longest) longest = i - start;
  }
  return longest;
}

static json_t *parse(const char *text, size_t n, reserve *r, json_error_t *fault) {
  input in = {text, n, r};
  at_hand = r;
  json_t *root = json_load_callback(read_on, &in, JSON_REJECT_DUPLICATES, fault);
  if (r->lacked) {
    json_decref(root);
    root = NULL;
  }
  at_hand = NULL;
  return root;
}

/* A token's text doubles as it grows: at most 4 times its length, once more with what is read on. */
dw_status dw_json_parse(const char *text, size_t n, const char *what, json_t **out, dw_error *err) {
  json_error_t fault = {0};
  reserve r = {.size = 8 * longest_token(text, n) + RESERVE_LEAST};
  *out = NULL;
  r.bytes = malloc(r.size);
  if (!r.bytes) return dw_fail_memory(err, what);
  *out = parse(text, n, &r, &fault);
  free(r.bytes);
  if (*out) return DW_OK;
  if (r.lacked) return dw_fail_memory(err, what);
  return dw_fail(err, DW_BAD_INPUT, "%s, line %d is not JSON: %.200s.", what, fault.line, fault.text);
}
