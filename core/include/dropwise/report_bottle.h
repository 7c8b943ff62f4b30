/* A bottle in numbers and swatches. */
#ifndef DROPWISE_REPORT_BOTTLE_H
#define DROPWISE_REPORT_BOTTLE_H

#include "dropwise/book_bottles.h"
#include "dropwise/bottle_look.h"
#include "dropwise/report.h"

typedef struct dw_bottle_report {
  const dw_book_bottle *kept;
  const dw_bottle *bottle;    /* as the shelf has it; NULL: its color is not known */
  const dw_bottle_look *look; /* with it */
} dw_bottle_report;

/* Swatches, hiding power, known range; of a bottle without a color what to do. */
void dw_text_bottle(const dw_bottle_report *report, const dw_style *style, dw_text *out);
/* Adds `swatches`, `hiding`, `known_range`, `known` and `look` to json, which it takes; NULL when out of
 * memory. */
json_t *dw_json_bottle(json_t *json, const dw_bottle_report *report);
/* [{loading, lab, see_through}] */
json_t *dw_json_swatches(const dw_bottle_look *look);
/* One page.  Errors DW_NO_MEMORY */
dw_status dw_html_bottle(const dw_bottle_report *report, dw_text *out, dw_error *err);

#endif
