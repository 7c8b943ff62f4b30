/* Inside bench/: the plugins as the page is told of them. */
#ifndef DROPWISE_APP_BENCH_PLUGINS_JSON_H
#define DROPWISE_APP_BENCH_PLUGINS_JSON_H

#include "app/bench/server.h"

/* Sets root's "plugins": each with its numbers as the book keeps them. In a transaction. */
dw_status dw__plugins_json(dw_bench *bench, json_t *root, dw_error *err);

#endif
