/* JSON pieces that several reports share. */
#ifndef DROPWISE_REPORT_JSON_INNER_H
#define DROPWISE_REPORT_JSON_INNER_H

#include "dropwise/report.h"

/* {"orange": 12}; whole numbers where the drops are whole. A new reference, or NULL when out of memory */
json_t *dw__json_drops(const dw_shelf *shelf, const dw_recipe *drops);

#endif
