#include "dropwise/pool.h"

#include <pthread.h>
#include <sched.h>

typedef struct pool {
  pthread_mutex_t lock;
  size_t n, next, count;
  void (*job)(void *context, size_t i);
  void (*done)(void *context, size_t count);
  void *context;
} pool;

static bool next_take(pool *p, size_t *i) {
  pthread_mutex_lock(&p->lock);
  bool any = p->next < p->n;
  if (any) *i = p->next++;
  pthread_mutex_unlock(&p->lock);
  return any;
}

static void *work(void *arg) {
  pool *p = arg;
  size_t i;
  while (next_take(p, &i)) {
    p->job(p->context, i);
    pthread_mutex_lock(&p->lock);
    p->count++;
    if (p->done) p->done(p->context, p->count);
    pthread_mutex_unlock(&p->lock);
  }
  return NULL;
}

void dw_pool_run(size_t n, size_t at_once, void (*job)(void *context, size_t i),
                 void (*done)(void *context, size_t count), void *context) {
  pool p = {.n = n, .job = job, .done = done, .context = context};
  pthread_t thread[DW_POOL_MOST];
  size_t others = 0;
  pthread_mutex_init(&p.lock, NULL);
  while (others + 1 < at_once && others + 1 < n && others + 1 < DW_POOL_MOST &&
         pthread_create(&thread[others], NULL, work, &p) == 0)
    others++;
  work(&p);
  for (size_t i = 0; i < others; i++) pthread_join(thread[i], NULL);
  pthread_mutex_destroy(&p.lock);
}

size_t dw_pool_cores(void) {
  cpu_set_t set;
  int cores = sched_getaffinity(0, sizeof set, &set) == 0 ? CPU_COUNT(&set) : 1;
  return cores < 1 ? 1 : cores > DW_POOL_MOST ? DW_POOL_MOST : (size_t)cores;
}
