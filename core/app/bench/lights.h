/* Inside bench/: lights fitted lately, so that dragging a region only measures the region. */
#ifndef DROPWISE_APP_BENCH_LIGHTS_H
#define DROPWISE_APP_BENCH_LIGHTS_H

#include "dropwise/read.h"

#include <pthread.h>

enum { DW__LIGHTS_MAX = 12 };

typedef struct dw__held_light {
  char key[65]; /* of photo and marks */
  dw_light *light;
  unsigned users; /* requests, and 1 for the cache */
  uint64_t used;
} dw__held_light;

typedef struct dw__lights {
  pthread_mutex_t lock;
  dw__held_light *held[DW__LIGHTS_MAX];
  uint64_t clock;
} dw__lights;

void dw__lights_start(dw__lights *lights);
void dw__lights_stop(dw__lights *lights);
/* The light of these marks in this photo, fitted when it is not at hand. *out by dw__lights_give. */
dw_status dw__lights_take(dw__lights *lights, const char *sha256, dw_photo *photo, const dw_marks *marks,
                          dw__held_light **out, dw_error *err);
void dw__lights_give(dw__lights *lights, dw__held_light *held); /* NULL is fine */

#endif
