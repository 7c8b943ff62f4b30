#include "app/bench/lights.h"

#include <stdlib.h>
#include <string.h>

enum { LIGHT_BYTES_MAX = 256 << 20 };

void dw__lights_start(dw__lights *lights) {
  pthread_mutex_init(&lights->lock, NULL);
}

/* With the lock held. */
static void let_go(dw__held_light *held) {
  if (!held || --held->users > 0) return;
  dw_light_free(held->light);
  free(held);
}

void dw__lights_stop(dw__lights *lights) {
  for (size_t i = 0; i < DW__LIGHTS_MAX; i++) let_go(lights->held[i]);
  pthread_mutex_destroy(&lights->lock);
}

/* Everything the light depends on, as one hash. */
static dw_status key_of(const char *sha256, const dw_marks *marks, char out[65], dw_error *err) {
  dw_text text = {0};
  json_t *json = dw_marks_json(marks);
  json_object_del(json, "layers");
  char *dump = json ? dw_json_write(json, JSON_SORT_KEYS) : NULL;
  if (dump) dw_text_add(&text, "%s %s", sha256, dump);
  bool fine = dump && !text.failed;
  if (fine) dw_sha256(text.data, text.length, out);
  dw_text_free(&text);
  free(dump);
  json_decref(json);
  return fine ? DW_OK : dw_fail_memory(err, "the light");
}

static dw__held_light *find(dw__lights *lights, const char *key) {
  for (size_t i = 0; i < DW__LIGHTS_MAX; i++)
    if (lights->held[i] && strcmp(lights->held[i]->key, key) == 0) return lights->held[i];
  return NULL;
}

/* Puts it where the one not used for longest was. */
static void keep(dw__lights *lights, dw__held_light *held) {
  size_t place = 0;
  for (size_t i = 0; i < DW__LIGHTS_MAX && lights->held[place]; i++)
    if (!lights->held[i] || lights->held[i]->used < lights->held[place]->used) place = i;
  let_go(lights->held[place]);
  held->users++;
  lights->held[place] = held;
}

static dw_status fit(dw__lights *lights, const char *key, dw_photo *photo, const dw_marks *marks,
                     dw__held_light **out, dw_error *err) {
  dw__held_light *held = calloc(1, sizeof *held);
  if (!held) return dw_fail_memory(err, "the light");
  dw_status status = dw_flow_light(photo, marks, LIGHT_BYTES_MAX, &held->light, err);
  if (status != DW_OK) {
    free(held);
    return status;
  }
  memcpy(held->key, key, sizeof held->key);
  held->users = 0;
  keep(lights, held);
  *out = held;
  return DW_OK;
}

dw_status dw__lights_take(dw__lights *lights, const char *sha256, dw_photo *photo, const dw_marks *marks,
                          dw__held_light **out, dw_error *err) {
  char key[65];
  dw_status status = key_of(sha256, marks, key, err);
  if (status != DW_OK) return status;
  pthread_mutex_lock(&lights->lock);
  dw__held_light *held = find(lights, key);
  if (!held) status = fit(lights, key, photo, marks, &held, err);
  if (status == DW_OK) {
    held->used = ++lights->clock;
    held->users++;
    *out = held;
  }
  pthread_mutex_unlock(&lights->lock);
  return status;
}

void dw__lights_give(dw__lights *lights, dw__held_light *held) {
  if (!held) return;
  pthread_mutex_lock(&lights->lock);
  let_go(held);
  pthread_mutex_unlock(&lights->lock);
}
