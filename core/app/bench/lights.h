/* Inside bench/: lights fitted lately, so that dragging a region only measures the region. */
#ifndef POURTONE_APP_BENCH_LIGHTS_H
#define POURTONE_APP_BENCH_LIGHTS_H

#include "app/flow.h"

#include <pthread.h>

enum { PT__LIGHTS_MAX = 12 };

typedef struct pt__held_light {
  char key[65]; /* of photo and marks */
  pt_light *light;
  unsigned users; /* requests, and 1 for the cache */
  uint64_t used;
} pt__held_light;

typedef struct pt__lights {
  pthread_mutex_t lock;
  pt__held_light *held[PT__LIGHTS_MAX];
  uint64_t clock;
} pt__lights;

void pt__lights_start(pt__lights *lights);
void pt__lights_stop(pt__lights *lights);
/* The light of these marks in this photo, fitted when it is not at hand. *out by pt__lights_give. */
pt_status pt__lights_take(pt__lights *lights, const char *sha256, pt_photo *photo, const pt_marks *marks,
                          pt__held_light **out, pt_error *err);
void pt__lights_give(pt__lights *lights, pt__held_light *held); /* NULL is fine */

#endif
