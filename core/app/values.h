/* Values of a JSON object (a request of the page, a piece of work in the book), each held to its range; what
 * is wrong is PT_USAGE in one sentence. */
#ifndef POURTONE_APP_VALUES_H
#define POURTONE_APP_VALUES_H

#include "app/marks.h"

/* fallback when the key is absent or null. */
pt_status pt__number_of(const json_t *object, const char *key, double min, double max, double fallback,
                        double *out, pt_error *err);
pt_status pt__whole_of(const json_t *object, const char *key, int64_t min, int64_t max, int64_t fallback,
                       int64_t *out, pt_error *err);
/* *out NULL when absent or null and not required; borrowed. */
pt_status pt__text_of(const json_t *object, const char *key, bool required, const char **out, pt_error *err);
/* A photo's id: 64 hexadecimal digits. */
pt_status pt__sha_of(const json_t *object, const char *key, const char **out, pt_error *err);
/* [L, a, b]; key is what it is called in the sentence. */
pt_status pt__lab_of(const json_t *value, const char *key, pt_lab *out, pt_error *err);
/* {"orange": 12} with bottles of the shelf; NULL is nothing. */
pt_status pt__drops_of(const json_t *object, const pt_shelf *shelf, pt_recipe *out, pt_error *err);
/* {"thickness_mm": 10, "over": "gray" or a reflectance}; NULL is 10 mm over gray. */
pt_status pt__slab_of(const json_t *object, pt_slab *out, pt_error *err);
/* {"volume_floz", "capacity_floz", "drops"}: what a cup holds. */
pt_status pt__cup_of(const json_t *object, const pt_shelf *shelf, pt_cup *out, pt_error *err);
/* Marks of a request's body; NULL is none. A card is one of the sets the program knows, never a file's name.
 */
pt_status pt__marks_of(const json_t *object, pt_marks *out, pt_error *err);
/* The cups of a piece of work: an array, each the cup of a layer. */
pt_status pt__cups_check(const json_t *cups, const pt_shelf *shelf, pt_error *err);

#endif
