#include "app/bench/lights.h"

#include <stdlib.h>
#include <string.h>

enum { LIGHT_BYTES_MAX = 256 << 20 };

void pt__lights_start(pt__lights *lights) {
  pthread_mutex_init(&lights->lock, NULL);
}

/* With the lock held. */
static void let_go(pt__held_light *held) {
  if (!held || --held->users > 0) return;
  pt_light_free(held->light);
  free(held);
}

void pt__lights_stop(pt__lights *lights) {
  for (size_t i = 0; i < PT__LIGHTS_MAX; i++) let_go(lights->held[i]);
  pthread_mutex_destroy(&lights->lock);
}

/* Everything the light depends on, as one hash. */
static pt_status key_of(const char *sha256, const pt_marks *marks, char out[65], pt_error *err) {
  pt_text text = {0};
  json_t *json = pt__marks_json(marks);
  json_object_del(json, "layers");
  char *dump = json ? json_dumps(json, JSON_SORT_KEYS) : NULL;
  if (dump) pt_text_add(&text, "%s %s", sha256, dump);
  bool fine = dump && !text.failed;
  if (fine) pt_sha256(text.data, text.length, out);
  pt_text_free(&text);
  free(dump);
  json_decref(json);
  return fine ? PT_OK : pt_fail_memory(err, "the light");
}

static pt__held_light *find(pt__lights *lights, const char *key) {
  for (size_t i = 0; i < PT__LIGHTS_MAX; i++)
    if (lights->held[i] && strcmp(lights->held[i]->key, key) == 0) return lights->held[i];
  return NULL;
}

/* Puts it where the one not used for longest was. */
static void keep(pt__lights *lights, pt__held_light *held) {
  size_t place = 0;
  for (size_t i = 0; i < PT__LIGHTS_MAX && lights->held[place]; i++)
    if (!lights->held[i] || lights->held[i]->used < lights->held[place]->used) place = i;
  let_go(lights->held[place]);
  held->users++;
  lights->held[place] = held;
}

static pt_status fit(pt__lights *lights, const char *key, pt_photo *photo, const pt_marks *marks,
                     pt__held_light **out, pt_error *err) {
  pt__held_light *held = calloc(1, sizeof *held);
  if (!held) return pt_fail_memory(err, "the light");
  pt_status status = pt__flow_light(photo, marks, LIGHT_BYTES_MAX, &held->light, err);
  if (status != PT_OK) {
    free(held);
    return status;
  }
  memcpy(held->key, key, sizeof held->key);
  held->users = 0;
  keep(lights, held);
  *out = held;
  return PT_OK;
}

pt_status pt__lights_take(pt__lights *lights, const char *sha256, pt_photo *photo, const pt_marks *marks,
                          pt__held_light **out, pt_error *err) {
  char key[65];
  pt_status status = key_of(sha256, marks, key, err);
  if (status != PT_OK) return status;
  pthread_mutex_lock(&lights->lock);
  pt__held_light *held = find(lights, key);
  if (!held) status = fit(lights, key, photo, marks, &held, err);
  if (status == PT_OK) {
    held->used = ++lights->clock;
    held->users++;
    *out = held;
  }
  pthread_mutex_unlock(&lights->lock);
  return status;
}

void pt__lights_give(pt__lights *lights, pt__held_light *held) {
  if (!held) return;
  pthread_mutex_lock(&lights->lock);
  let_go(held);
  pthread_mutex_unlock(&lights->lock);
}
