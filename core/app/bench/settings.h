/* Inside bench/: the settings that answers go by, and in what units they are. */
#ifndef DROPWISE_APP_BENCH_SETTINGS_H
#define DROPWISE_APP_BENCH_SETTINGS_H

#include "app/bench/server.h"
#include "dropwise/book_settings.h"

/* Units are those that the bench was started with, until the page sets others, else the book's; all else is the
 * book's.
 * settings_in, units_in  within a transaction; units_now  in one of its own */
dw_status dw__settings_in(dw_bench *bench, dw_settings *out, dw_error *err);
dw_status dw__units_in(dw_bench *bench, dw_units *out, dw_error *err);
dw_status dw__units_now(dw_bench *bench, dw_units *out, dw_error *err);
/* {"settings", "set"}: what GET /api/settings answers. Within a transaction. */
dw_status dw__settings_json(dw_bench *bench, json_t **out, dw_error *err);

#endif
