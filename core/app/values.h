/* Values of a JSON object (a request of the page, a piece of work in the book), each held to its range; what
 * is wrong is DW_USAGE in one sentence. */
#ifndef DROPWISE_APP_VALUES_H
#define DROPWISE_APP_VALUES_H

#include "app/marks.h"

/* fallback when the key is absent or null. */
dw_status dw__number_of(const json_t *object, const char *key, double min, double max, double fallback,
                        double *out, dw_error *err);
dw_status dw__whole_of(const json_t *object, const char *key, int64_t min, int64_t max, int64_t fallback,
                       int64_t *out, dw_error *err);
/* *out NULL when absent or null and not required; borrowed. */
dw_status dw__text_of(const json_t *object, const char *key, bool required, const char **out, dw_error *err);
/* A photo's id: 64 hexadecimal digits. */
dw_status dw__sha_of(const json_t *object, const char *key, const char **out, dw_error *err);
/* [L, a, b]; key is what it is called in the sentence. */
dw_status dw__lab_of(const json_t *value, const char *key, dw_lab *out, dw_error *err);
/* {"orange": 12} with bottles of the shelf; NULL is nothing. */
dw_status dw__drops_of(const json_t *object, const dw_shelf *shelf, dw_recipe *out, dw_error *err);
/* {"thickness_mm": 10, "over": "gray" or a reflectance}; NULL is 10 mm over gray. */
dw_status dw__slab_of(const json_t *object, dw_slab *out, dw_error *err);
/* {"volume_floz", "capacity_floz", "drops"}: what a cup holds. */
dw_status dw__cup_of(const json_t *object, const dw_shelf *shelf, dw_cup *out, dw_error *err);
/* Marks of a request's body; NULL is none. A card is one of the sets the program knows, never a file's name.
 */
dw_status dw__marks_of(const json_t *object, dw_marks *out, dw_error *err);
/* The cups of a piece of work: an array, each the cup of a layer. */
dw_status dw__cups_check(const json_t *cups, const dw_shelf *shelf, dw_error *err);

#endif
