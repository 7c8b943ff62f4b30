/* Changes JSON as JSON: a value is replaced, taken away, doubled, moved or nested, a number or text goes to an edge of
 * what may be. A quarter of the time, and for what is no JSON, bytes are changed. */
#include "fuzz.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

static uint32_t state;
static uint32_t dice(void) {
  state ^= state << 13;
  state ^= state >> 17;
  return state ^= state << 5;
}

/* A place in the document: the array or object that holds it. */
typedef struct spot {
  json_t *holder;
  const char *key; /* of an object; else: */
  size_t index;
} spot;

typedef struct walk {
  size_t n, wanted;
  spot found;
} walk;

static void look(walk *w, json_t *value) {
  const char *key;
  size_t index;
  json_t *inner;
  if (json_is_object(value)) {
    json_object_foreach(value, key, inner) {
      if (w->n++ == w->wanted) w->found = (spot){value, key, 0};
      look(w, inner);
    }
  }
  json_array_foreach(value, index, inner) {
    if (w->n++ == w->wanted) w->found = (spot){value, NULL, index};
    look(w, inner);
  }
}

static spot any_spot(json_t *root) {
  walk count = {.wanted = SIZE_MAX};
  look(&count, root);
  walk pick = {.wanted = count.n ? dice() % count.n : 0};
  look(&pick, root);
  return pick.found;
}

static json_t *value_at(const spot *s) {
  return s->key ? json_object_get(s->holder, s->key) : json_array_get(s->holder, s->index);
}

static void put(const spot *s, json_t *value) {
  if (s->key)
    json_object_set_new_nocheck(s->holder, s->key, value);
  else
    json_array_set_new(s->holder, s->index, value);
}

static json_t *long_text(void) {
  size_t n = 1 + dice() % 400;
  char *text = malloc(n);
  promise(text != NULL, "memory");
  memset(text, 'a' + (int)(dice() % 26), n);
  json_t *out = json_stringn(text, n);
  free(text);
  return out;
}

static json_t *telling_value(void) {
  static const double reals[] = {0.0, -0.0, 1e-320, 1e308, -1e308, 0.5, 1e15, 100.0001, -1e-9};
  static const json_int_t wholes[] = {0, 1, -1, INT32_MAX, INT64_MAX, INT64_MIN, 255, 65536, 1000000, 13};
  static const char *const texts[] = {"",     " ", "a/b", "none", "rect:0,0,1x1", "\xC2\x85", "\xE2\x80\xAE",
                                      "a\nb", "-1"};
  switch (dice() % 8) {
  case 0:
    return json_real(reals[dice() % (sizeof reals / sizeof *reals)]);
  case 1:
    return json_integer(wholes[dice() % (sizeof wholes / sizeof *wholes)]);
  case 2:
    return json_string(texts[dice() % (sizeof texts / sizeof *texts)]);
  case 3:
    return long_text();
  case 4:
    return dice() % 2 ? json_true() : json_null();
  case 5:
    return json_array();
  case 6:
    return json_object();
  default:
    return json_integer((json_int_t)dice());
  }
}

static json_t *changed_text(const json_t *text) {
  uint8_t bytes[1024];
  size_t n = json_string_length(text);
  if (n == 0 || n > sizeof bytes) return json_string("x");
  memcpy(bytes, json_string_value(text), n);
  n = LLVMFuzzerMutate(bytes, n, sizeof bytes);
  json_t *out = json_stringn((const char *)bytes, n);
  return out ? out : json_string("\xEF\xBF\xBD");
}

static json_t *changed(const json_t *value) {
  if (json_is_string(value)) return changed_text(value);
  if (json_is_integer(value))
    return json_integer((json_int_t)((uint64_t)json_integer_value(value) + dice() % 5 - 2));
  if (json_is_real(value)) {
    json_t *out = json_real(json_real_value(value) * (dice() % 2 ? -1.0 : 1000.0));
    return out ? out : json_real(1e300);
  }
  return telling_value();
}

static json_t *nested(json_t *value) {
  for (uint32_t depth = 1 + dice() % 40; depth > 0; depth--) {
    json_t *outer = json_array();
    json_array_append_new(outer, value);
    value = outer;
  }
  return value;
}

static void take_away(const spot *s) {
  if (s->key)
    json_object_del(s->holder, s->key);
  else
    json_array_remove(s->holder, s->index);
}

static void change(json_t *root) {
  spot s = any_spot(root), other = any_spot(root);
  if (!s.holder) return;
  switch (dice() % 7) {
  case 0:
    put(&s, telling_value());
    return;
  case 1:
  case 2:
    put(&s, changed(value_at(&s)));
    return;
  case 3:
    put(&s, json_deep_copy(value_at(&other)));
    return;
  case 4:
    put(&s, nested(json_deep_copy(value_at(&s))));
    return;
  case 5:
    if (json_is_array(s.holder)) {
      json_array_insert_new(s.holder, s.index, json_deep_copy(value_at(&s)));
      return;
    } /* fall through */
  default:
    take_away(&s);
  }
}

size_t fuzz_json_mutate(uint8_t *bytes, size_t n, size_t room, unsigned seed) {
  state = seed * 2654435769u | 1u;
  json_t *root = dice() % 4 ? json_loadb((const char *)bytes, n, JSON_ALLOW_NUL, NULL) : NULL;
  if (!root) return LLVMFuzzerMutate(bytes, n, room);
  for (uint32_t times = 1 + dice() % 3; times > 0; times--) change(root);
  size_t length = json_dumpb(root, (char *)bytes, room, JSON_COMPACT);
  json_decref(root);
  return length > room ? room : length; /* what fits of it */
}
