/* What only a request of the page carries; what is wrong is DW_USAGE in one sentence. */
#ifndef DROPWISE_APP_BENCH_REQUEST_H
#define DROPWISE_APP_BENCH_REQUEST_H

#include "dropwise/advise.h"
#include "dropwise/book_aims.h"
#include "dropwise/mix_json.h"
#include "dropwise/read.h"
#include "dropwise/report_blend.h"

/* Marks of a request's body; NULL is none. A card is one of the sets the program knows, never a file's name.
 */
dw_status dw__marks_of(const json_t *object, dw_marks *out, dw_error *err);

/* Whether the key, where the body has it, is true or false. */
dw_status dw__flag_check(const json_t *body, const char *key, dw_error *err);

/* The one that "pattern" names: by its id, as the page has it, or its name. */
dw_status dw__pattern_of(dw_book *book, const json_t *body, dw_pattern *out, dw_error *err);

/* "outline" and "shares", percentages for n layers, of an object; NULL, or what is absent: a swimbait, alike.
 * out  its id is left as it is; on error the outline is that of the object, where that is one, else a swimbait's */
dw_status dw__look_of(const json_t *object, size_t n, dw_bait_picture *out, dw_error *err);

#endif
