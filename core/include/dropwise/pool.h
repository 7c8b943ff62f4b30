/* Many like jobs on all cores. */
#ifndef DROPWISE_POOL_H
#define DROPWISE_POOL_H

#include "dropwise/base.h"

enum { DW_POOL_MOST = 64 };

/* Runs job(context, i) for i from 0 to n - 1, each once, on at_once threads (1 to DW_POOL_MOST; this thread
 * is one of them, and alone where no other can be started), begun in order, and returns when all are done.
 * done  called after each job with how many are done, one at a time; NULL: nobody wants to know */
void dw_pool_run(size_t n, size_t at_once, void (*job)(void *context, size_t i),
                 void (*done)(void *context, size_t count), void *context);
size_t dw_pool_cores(void); /* that this process may use, at most DW_POOL_MOST */

#endif
