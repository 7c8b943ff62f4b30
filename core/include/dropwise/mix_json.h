/* A cup, its drops and the slab it is judged by, from JSON; what is wrong is DW_USAGE in one sentence. */
#ifndef DROPWISE_MIX_JSON_H
#define DROPWISE_MIX_JSON_H

#include "dropwise/json.h"
#include "dropwise/mix.h"

/* {"orange": 12}, to hundredths; a new reference, NULL when out of memory. */
json_t *dw_json_drops(const dw_recipe *drops, const dw_shelf *shelf);
/* {"orange": 12} with bottles of the shelf; NULL is nothing. */
dw_status dw_json_drops_of(const json_t *object, const dw_shelf *shelf, dw_recipe *out, dw_error *err);
/* {"thickness_mm": 10, "over": "gray" or a reflectance}; NULL is 10 mm over gray. */
dw_status dw_json_slab_of(const json_t *object, dw_slab *out, dw_error *err);
/* {"volume_floz", "capacity_floz", "drops"}: what a cup holds. */
dw_status dw_json_cup_of(const json_t *object, const dw_shelf *shelf, dw_cup *out, dw_error *err);

#endif
